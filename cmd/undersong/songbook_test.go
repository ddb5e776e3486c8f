package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/voicing/songbook"
)

// copies makes a folder of so many copies of the example song in folders, one
// file in ten of them broken.
func copies(t *testing.T, n int) (folder string, broken int) {
	t.Helper()
	folder = t.TempDir()
	song, err := os.ReadFile(filepath.Join("..", "..", "examples", "nets-in-the-loft", "nets-in-the-loft.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range n {
		text := song
		if i%10 == 9 {
			text = song[:len(song)/2]
			broken++
		}
		dir := filepath.Join(folder, string(rune('a'+i%3)), "deep")
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, string(rune('a'+i))+".musicxml"), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(folder, "notes.txt"), []byte("no score"), 0o644); err != nil {
		t.Fatal(err)
	}
	return folder, broken
}

// TestMain: a songbook starts its own program anew for its workers, which here is
// this test.
func TestMain(m *testing.M) {
	if len(os.Args) > 2 && os.Args[1] == "songbook" && os.Args[2] == "--worker" {
		main()
	}
	os.Exit(m.Run())
}

func songbookRun(t *testing.T, args ...string) (code int, s songbook.Summary, errs string) {
	t.Helper()
	var out, errOut bytes.Buffer
	code = run(append([]string{"undersong", "songbook", "--json"}, args...), strings.NewReader(""), &out, &errOut)
	if out.Len() > 0 {
		if err := json.Unmarshal(out.Bytes(), &s); err != nil {
			t.Fatal(err)
		}
	}
	return code, s, errOut.String()
}

// TestSongbook: the tree is kept, a broken file is a row and harms no other,
// and what is done is not done again.
func TestSongbook(t *testing.T) {
	in, broken := copies(t, 20)
	out := filepath.Join(t.TempDir(), "bells")
	code, first, errs := songbookRun(t, in, "-o", out, "--jobs", "2", "--voicing", "auto")
	if code != 1 || len(first.Rows) != 20 || !strings.Contains(errs, "2 of 20 scores failed") {
		t.Fatalf("exit %d, %d rows: %s", code, len(first.Rows), errs)
	}
	for i, p := range first.Rows {
		if (p.Error != "") != (i < broken) {
			t.Errorf("row %d, %s: %q", i, p.Name, p.Error)
		}
		_, err := os.Stat(filepath.Join(out, p.Name))
		if (err == nil) != (p.Error == "") {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
	before := tree(t, out)
	if code, _, errs := songbookRun(t, in, "-o", out); code != 1 || !strings.Contains(errs, "has a songbook already") {
		t.Errorf("without --resume or --force: exit %d: %s", code, errs)
	}
	if _, _, errs := songbookRun(t, in, "-o", out, "--resume", "--voicing", "auto"); !strings.Contains(errs, "18 of 20 were there already") {
		t.Errorf("18 are there already: %s", errs)
	}
	if diff := cmp.Diff(before, tree(t, out)); diff != "" {
		t.Errorf("a second run changed\n%s", diff)
	}
	if _, _, errs := songbookRun(t, in, "-o", out, "--resume", "--voicing", "plain"); strings.Contains(errs, "already") {
		t.Errorf("with other options: %s", errs)
	}
	if cmp.Equal(before, tree(t, out)) {
		t.Error("other options changed nothing")
	}
}

// TestSongbookVoicesAsVoiceDoes: a song in a songbook is the one that voice makes
// with the same flags.
func TestSongbookVoicesAsVoiceDoes(t *testing.T) {
	in, _ := copies(t, 1)
	song := filepath.Join(in, "a", "deep", "a.musicxml")
	for _, flags := range [][]string{
		{"--voicing", "auto"},
		{"--voicing", "auto", "--transpose", "2"},
		{"--voicing", "auto", "--plain", "1-4", "--difficulty", "1"},
		{"--voicing", "plain", "--figure", "held"},
		{"--invert", "1-4"},
	} {
		out := t.TempDir()
		if code, _, errs := songbookRun(t, append(flags, in, "-o", out)...); code != 0 {
			t.Fatalf("%v: exit %d: %s", flags, code, errs)
		}
		alone := filepath.Join(t.TempDir(), "a.musicxml")
		if code, _, errs := undersong(t, "", append([]string{"voice", song, "-o", alone}, flags...)...); code != 0 {
			t.Fatalf("%v: exit %d: %s", flags, code, errs)
		}
		want, err := os.ReadFile(alone)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(out, "a", "deep", "a.musicxml"))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(want, got) {
			t.Errorf("%v: the songbook has another song", flags)
		}
	}
}

// tree is the files of a folder by path, and their contents.
func tree(t *testing.T, folder string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		rel, relErr := filepath.Rel(folder, path)
		files[rel] = string(text)
		return errors.Join(err, relErr)
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestSongbookRefuses(t *testing.T) {
	in, _ := copies(t, 1)
	for want, args := range map[string][]string{
		"needs one folder":     {},
		"a folder to write to": {in},
		"lies in":              {in, "-o", filepath.Join(in, "out")},
		"is no folder":         {filepath.Join(in, "nothing"), "-o", t.TempDir()},
		"at least one":         {in, "-o", t.TempDir(), "--jobs", "0"},
		"no voicing":           {in, "-o", t.TempDir(), "--voicing", "upside"},
		"has no score":         {t.TempDir(), "-o", filepath.Join(t.TempDir(), "x")},
	} {
		if code, _, errs := songbookRun(t, args...); code == 0 || !strings.Contains(errs, want) || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: exit %d: %s", args, code, errs)
		}
	}
}
