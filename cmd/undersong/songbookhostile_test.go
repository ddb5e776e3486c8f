//go:build unix

package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"undersong/voicing/songbook"
)

// hostile are scores that want to do harm, by file name.
func hostile(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "nets-in-the-loft", "nets-in-the-loft.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	song := string(text)
	with := func(old, other string) string {
		if !strings.Contains(song, old) {
			t.Fatalf("the song has no %s", old)
		}
		return strings.ReplaceAll(song, old, other)
	}
	container := `<container><rootfiles><rootfile full-path="%s"/></rootfiles></container>`
	climbing := "../../../climbing.musicxml"
	all := map[string]string{
		"deep.xml":           strings.Repeat("<score-partwise>", 1_000_000),
		"deep-in-a-note.xml": with("<note>", "<note>"+strings.Repeat("<a>", 100)+strings.Repeat("</a>", 100)),
		"divisions.xml":      with("<divisions>", "<divisions>99999999999"),
		"durations.xml":      with("<duration>", "<duration>99999999999"),
		"octaves.xml":        with("<octave>", "<octave>99999999999"),
		"beats.xml":          with("<beats>", "<beats>1000000000"),
		"tempo.xml":          with("<sound tempo=\"", "<sound tempo=\"1e300"),
		"fifths.xml":         with("<fifths>", "<fifths>1000000000"),
		"times.xml":          with("</measure>", `<barline location="right"><repeat direction="backward" times="1000000"/></barline></measure>`),
		"repeats.xml":        repeats(10_000),
		"a-million.xml":      repeats(1_000_000),
		"entities.xml":       strings.Replace(with("<work-title>", "<work-title>&a10;"), "<score-partwise", billionLaughs()+"<score-partwise", 1),
		"entity-of-a-file.xml": strings.Replace(strings.Replace(song, "<score-partwise", `<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/passwd">]>`+"\n<score-partwise", 1),
			"<work-title>", "<work-title>&x;", 1),
		"empty.xml":                       "",
		"nul.xml":                         strings.Repeat("\x00", 1<<20),
		"not-an-archive.mxl":              "PK\x03\x04" + song,
		"bomb.mxl":                        archive(t, "score.xml", strings.Repeat("\x00", 64<<20)),
		"leads-out.mxl":                   archive(t, "META-INF/container.xml", fmt.Sprintf(container, "../../../../../../etc/passwd")),
		"climbs.mxl":                      archive(t, "META-INF/container.xml", fmt.Sprintf(container, climbing), climbing, song),
		"new\nline.xml":                   song,
		"\x1b[31mred.xml":                 song,
		"bytes\xff\xfe.xml":               song,
		"--force.xml":                     song,
		"quotes\"and<b>.xml":              song,
		strings.Repeat("l", 251) + ".xml": song,
	}
	return all
}

// repeats is a score of so many measures, each repeated.
func repeats(n int) string {
	var b strings.Builder
	b.WriteString(`<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1">`)
	for i := range n {
		fmt.Fprintf(&b, `<measure number="%d"><note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration></note><barline><repeat direction="backward"/></barline></measure>`, i)
	}
	b.WriteString(`</part></score-partwise>`)
	return b.String()
}

func billionLaughs() string {
	var b strings.Builder
	b.WriteString("<!DOCTYPE score-partwise [<!ENTITY a0 \"ha\">")
	for i := range 10 {
		fmt.Fprintf(&b, "<!ENTITY a%d \"%s\">", i+1, strings.Repeat(fmt.Sprintf("&a%d;", i), 10))
	}
	b.WriteString("]>\n")
	return b.String()
}

// archive packs files, given as name and text in turn.
func archive(t *testing.T, files ...string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		w, err := z.Create(files[i])
		if err == nil {
			_, err = w.Write([]byte(files[i+1]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// underRace says that the race detector is in: its own memory, several times the
// program's, counts in what the system says of a process.
var underRace bool

// TestSongbookOfHostileScores: whatever wants to do harm is one row, a whole score
// or one plain line, in bounded time and memory, and nothing is written outside
// the folder of results.
func TestSongbookOfHostileScores(t *testing.T) {
	base := t.TempDir()
	in, out := filepath.Join(base, "in"), filepath.Join(base, "out")
	all := hostile(t)
	for name, text := range all {
		writeFile(t, filepath.Join(in, name), []byte(text))
	}
	links := map[string]string{"round": ".", "up": "..", "passwd.xml": "/etc/passwd", "itself.xml": "itself.xml", "endless.xml": "/dev/zero"}
	for name, target := range links {
		if err := os.Symlink(target, filepath.Join(in, name)); err != nil {
			t.Fatal(err)
		}
	}
	if err := syscall.Mkfifo(filepath.Join(in, "pipe.xml"), 0o644); err != nil {
		t.Fatal(err)
	}
	before := listing(t, base)
	begun := time.Now()
	_, s, errs := songbookRun(t, in, "-o", out, "--jobs", "2", "--time-limit", "20s", "--memory-limit", "1024", "--voicing", "auto")
	took := time.Since(begun)
	if want := len(all) + len(links) - 2 + 1; len(s.Rows) != want {
		t.Fatalf("%d rows, want %d: %s", len(s.Rows), want, errs)
	}
	for _, r := range s.Rows {
		t.Logf("%-30.30s %5.2f s  %s", r.Name, r.Seconds, r.Error)
		if len(r.Error) > 600 || strings.ContainsFunc(songbook.Shown(r.Name)+r.Error, unicode.IsControl) {
			t.Errorf("%s: not one plain line: %.700q", r.Name, r.Error)
		}
		if strings.Contains(r.Error, "fault of this program") {
			t.Errorf("%s: %s", r.Name, r.Error)
		}
	}
	after := listing(t, base)
	maps.DeleteFunc(after, func(path, _ string) bool { return path == "out" || strings.HasPrefix(path, "out/") })
	if diff := cmp.Diff(before, after); diff != "" {
		t.Errorf("outside of the folder of results:\n%s", diff)
	}
	var usage syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_CHILDREN, &usage); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d rows, %d failed, in %v; the largest worker had %d MB", len(s.Rows), s.Failed, took.Round(time.Millisecond), usage.Maxrss>>10)
	if took > 3*time.Minute {
		t.Errorf("it took %v", took)
	}
	if !underRace && usage.Maxrss>>10 > 1024+512 {
		t.Errorf("a worker had %d MB", usage.Maxrss>>10)
	}
}

// listing is every file under a folder with its kind and size.
func listing(t *testing.T, folder string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.Walk(folder, func(path string, info os.FileInfo, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(folder, path)
		if rel != "." {
			all[rel] = info.Mode().Type().String()
			if info.Mode().IsRegular() {
				all[rel] += fmt.Sprint(info.Size())
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestSongbookPoisoned: of many copies of the shared scores, one file in each
// hundred is poisoned. It is a row with an error; every other is as it is without.
//
//	UNDERSONG_SONGS=1000   how many; 100 without
func TestSongbookPoisoned(t *testing.T) {
	n := number(t, "UNDERSONG_SONGS", 100)
	in, out, alone := t.TempDir(), t.TempDir(), t.TempDir()
	sources, poisons := mutantSources(t), hostile(t)
	for _, s := range sources {
		writeFile(t, filepath.Join(alone, s.name), []byte(s.file))
	}
	want := undisturbed(t, alone)
	kinds := []string{"bomb.mxl", "deep.xml", "empty.xml", "leads-out.mxl", "a-million.xml", "nul.xml", "octaves.xml", "not-an-archive.mxl", "entities.xml", "durations.xml"}
	for i := range n {
		source := sources[i%len(sources)]
		name, text := source.name, source.file
		if i%100 == 50 {
			name = kinds[i/100%len(kinds)]
			text = poisons[name]
		}
		writeFile(t, filepath.Join(in, fmt.Sprint(i/100), fmt.Sprint(i%100), name), []byte(text))
	}
	begun := time.Now()
	code, s, errs := songbookRun(t, in, "-o", out, "--jobs", "2")
	took := time.Since(begun)
	if code != exitError || s.Scores != n || s.Failed != n/100 {
		t.Errorf("exit %d, %d scores, %d failed: %s", code, s.Scores, s.Failed, errs)
	}
	for i, r := range s.Rows {
		if (r.Error != "") != (i < n/100) {
			t.Errorf("row %d, %s: %q", i, r.Name, r.Error)
		}
	}
	got, _ := results(t, out)
	for path, text := range got {
		if text != want[filepath.Base(path)] {
			t.Errorf("%s is not what it is alone", path)
		}
	}
	if len(got) != n-n/100 {
		t.Errorf("%d results", len(got))
	}
	t.Logf("%d scores, %d whole results and %d rows of errors in %v", n, len(got), s.Failed, took.Round(10*time.Millisecond))
}
