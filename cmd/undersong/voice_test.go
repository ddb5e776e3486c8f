package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score/musicxml"
	"undersong/voicing"
	"undersong/voicing/check"
)

const (
	roundtrip = "../../testdata/roundtrip"
	songDir   = "../../examples/lamp-for-the-late-boat"
)

// undersong runs the command with a folder of its own to work in, where
// song.musicxml is the example song.
func undersong(t *testing.T, stdin string, args ...string) (code int, out, errors string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code = run(append([]string{"undersong"}, args...), strings.NewReader(stdin), &stdout, &stderr)
	return code, stdout.String(), stderr.String()
}

// inFolder makes a folder with the example song the working folder.
func inFolder(t *testing.T) {
	t.Helper()
	song, err := os.ReadFile(filepath.Join(songDir, "lamp-for-the-late-boat.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	write(t, "song.musicxml", string(song))
}

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// names lists the working folder.
func names(t *testing.T) string {
	t.Helper()
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return strings.Join(all, " ")
}

func TestVoiceWrites(t *testing.T) {
	for _, c := range []struct {
		args  string
		files string
	}{
		{"voice song.musicxml", "song-inverted.musicxml song.musicxml"},
		{"voice --voicing plain song.musicxml", "song-plain.musicxml song.musicxml"},
		{"voice song.musicxml --voicing plain --tower 35", "song-plain.musicxml song.musicxml"},
		{"voice song.musicxml -o out.mxl --report r.json", "out.mxl r.json song.musicxml"},
		{"voice -o - song.musicxml", "song.musicxml"},
		{"voice -o out.xml -- song.musicxml", "out.xml song.musicxml"},
	} {
		t.Run(c.args, func(t *testing.T) {
			inFolder(t)
			code, _, errors := undersong(t, "", strings.Fields(c.args)...)
			if got := names(t); code != 0 || got != c.files {
				t.Errorf("exit %d, files %s, want %s: %s", code, got, c.files, errors)
			}
		})
	}
}

func TestVoiceResultIsAScore(t *testing.T) {
	inFolder(t)
	for _, out := range []string{"a.musicxml", "b.mxl"} {
		if code, _, errors := undersong(t, "", "voice", "song.musicxml", "-o", out); code != 0 {
			t.Fatal(errors)
		}
		f, err := os.Open(out)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := musicxml.Read(f, out, musicxml.Limits{})
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		if p := doc.Score().Parts; len(p) != 1 || p[0].Name != "Carillon" || p[0].Staves != 2 {
			t.Errorf("%s: parts %v", out, p)
		}
	}
}

func TestVoiceReport(t *testing.T) {
	inFolder(t)
	code, out, errors := undersong(t, "", "voice", "song.musicxml", "--json", "--report", "r.json")
	if code != 0 || errors != "" {
		t.Fatalf("exit %d: %s", code, errors)
	}
	file, err := os.ReadFile("r.json")
	if err != nil {
		t.Fatal(err)
	}
	if string(file) != out {
		t.Error("--report and --json differ")
	}
	var r voicing.Report
	if err := json.Unmarshal(file, &r); err != nil {
		t.Fatal(err)
	}
	if r.Version != 1 || r.Notes.Written+r.Notes.LeftOut != r.Notes.Source || r.Melody.Notes == 0 {
		t.Errorf("report %+v", r)
	}
}

func TestVoiceStandardInput(t *testing.T) {
	inFolder(t)
	song, err := os.ReadFile("song.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	code, out, _ := undersong(t, string(song), "voice", "-", "-o", "-")
	if code != 0 || !strings.Contains(out, "<part-name>Carillon</part-name>") {
		t.Errorf("exit %d, %d bytes", code, len(out))
	}
}

// TestVoiceRefuses: one line, the right exit status, and nothing written.
func TestVoiceRefuses(t *testing.T) {
	const here = "HERE" // stands for the working folder's name
	const rests = `<score-partwise><part id="P1"><measure number="1"><note><rest/><duration>1</duration></note></measure></part></score-partwise>`
	for _, c := range []struct {
		name, args string
		code       int
		want       string
	}{
		{"no score", "voice", 2, "one score"},
		{"two scores", "voice a b", 2, "one score"},
		{"unknown flag", "voice --loud song.musicxml", 2, "-loud"},
		{"a flag without its value", "check a.musicxml --json", 2, "--json needs a value"},
		{"a flag for a value", "check a.musicxml --json --force", 2, "--json needs a value"},
		{"unknown command", "sing", 2, `no command "sing"`},
		{"unknown voicing", "voice song.musicxml --voicing upside", 2, `no voicing "upside": there are inverted, tenor, covered, plain and auto`},
		{"unknown tower", "voice song.musicxml --tower tall", 1, "tall"},
		{"unknown form", "voice song.musicxml -o out.pdf", 2, "out.pdf: the name of a score ends in .musicxml, .xml, .mxl"},
		{"one file twice", "voice song.musicxml -o a.xml --report a.xml", 2, "name the same file"},
		{"no name", "voice -", 2, "give one with -o"},
		{"the score itself", "voice song.musicxml --force -o song.musicxml", 2, "is the score itself"},
		{"the plan itself", "voice song.musicxml --plan plan.yaml --force --report plan.yaml", 2, "plan.yaml is the plan itself"},
		{"missing", "voice none.musicxml", 1, "none.musicxml: no such file"},
		{"a folder", "voice .", 1, ". is a folder"},
		{"there already", "voice song.musicxml -o there.xml", 1, "there.xml is there already"},
		{"report there already", "voice song.musicxml --report there.xml", 1, "there.xml is there already"},
		{"no such folder", "voice song.musicxml -o none/out.xml", 1, "none/out.xml: there is no folder none"},
		{"one file by two names", "voice song.musicxml -o a.xml --report ../" + here + "/a.xml", 2, "name the same file"},
		{"a report without a name", "voice song.musicxml --report -", 2, "--report names a file"},
		{"one input for two", "voice - -o out.xml --tower -", 2, "cannot both come from standard input"},
		{"nothing to voice", "voice rests.xml", 1, "rests.xml: the score has no pitched note"},
		{"not a score", "voice words.xml", 1, "words.xml: not MusicXML"},
	} {
		t.Run(c.name, func(t *testing.T) {
			inFolder(t)
			write(t, "there.xml", "kept")
			write(t, "rests.xml", rests)
			write(t, "words.xml", "words")
			write(t, "plan.yaml", "voicing: plain\n")
			before := names(t)
			folder, err := os.Getwd()
			if err != nil {
				t.Fatal(err)
			}
			args := strings.ReplaceAll(c.args, here, filepath.Base(folder))
			code, _, errors := undersong(t, "", strings.Fields(args)...)
			if code != c.code || !strings.Contains(errors, c.want) || strings.Count(errors, "\n") != 1 {
				t.Errorf("exit %d, want %d with one line that says %q:\n%s", code, c.code, c.want, errors)
			}
			if after := names(t); after != before {
				t.Errorf("files %s, before %s", after, before)
			}
			for name, want := range map[string]string{"there.xml": "kept", "plan.yaml": "voicing: plain\n"} {
				if got, err := os.ReadFile(name); err != nil || string(got) != want {
					t.Errorf("%s was overwritten", name)
				}
			}
		})
	}
}

func TestVoiceForce(t *testing.T) {
	inFolder(t)
	write(t, "out.xml", "old")
	if code, _, errors := undersong(t, "", "voice", "song.musicxml", "-o", "out.xml", "--force"); code != 0 {
		t.Fatal(errors)
	}
	if text, err := os.ReadFile("out.xml"); err != nil || string(text) == "old" {
		t.Errorf("not replaced: %v", err)
	}
}

// smallScores are all scores of the test data.
func smallScores(t *testing.T) []string {
	t.Helper()
	var files []string
	for _, pattern := range []string{"*.musicxml", "*/*.musicxml", "*/*.mxl", "../forms/*.musicxml"} {
		found, err := filepath.Glob(filepath.Join(roundtrip, pattern))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	if len(files) < 200 {
		t.Fatalf("only %d files", len(files))
	}
	return files
}

// TestVoiceEverything voices every small score of the test data: it works or
// gives one-line errors, and an error leaves nothing behind.
func TestVoiceEverything(t *testing.T) {
	dir := t.TempDir()
	for i, file := range smallScores(t) {
		for _, v := range voicing.Voicings() {
			out := filepath.Join(dir, filepath.Base(file)+string(v)+string(rune('a'+i%26))+filepath.Ext(file))
			code, _, errors := undersong(t, "", "voice", file, "--voicing", string(v), "-o", out)
			_, err := os.Stat(out)
			switch {
			case code == 0 && err != nil:
				t.Errorf("%s: exit 0 and no result", file)
			case code == 1 && (err == nil || !strings.HasPrefix(errors, "undersong: "+file)):
				t.Errorf("%s: %s", file, errors)
			case code > 1:
				t.Errorf("%s: exit %d: %s", file, code, errors)
			}
			os.Remove(out)
		}
	}
}

func TestVersion(t *testing.T) {
	if code, out, _ := undersong(t, "", "--version"); code != 0 || !strings.HasPrefix(out, "undersong version ") {
		t.Errorf("exit %d: %s", code, out)
	}
}

// TestCheckOfTheFile: what voice says of its result is what check says of the
// file.
func TestCheckOfTheFile(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.musicxml")
	compared := 0
	for _, file := range append(smallScores(t), lamp) {
		for _, v := range voicing.Voicings() {
			code, said, _ := undersong(t, "", "voice", file, "--voicing", string(v), "-o", out, "--force", "--json")
			if code != 0 {
				continue // nothing to voice
			}
			compared++
			var voiced voiced
			if err := json.Unmarshal([]byte(said), &voiced); err != nil {
				t.Fatal(err)
			}
			code, said, errs := undersong(t, "", "check", out, "--json", "-")
			if code != 0 {
				t.Fatalf("%s %s: %s", file, v, errs)
			}
			var found check.Report
			if err := json.Unmarshal([]byte(said), &found); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(found.Totals, voiced.Check.Totals); diff != "" || found.Difficulty.Level != voiced.Check.Difficulty {
				t.Errorf("%s %s: difficulty %d, of the file %d; %s", file, v, voiced.Check.Difficulty, found.Difficulty.Level, diff)
			}
		}
	}
	if compared < 100 {
		t.Errorf("%d results", compared)
	}
}
