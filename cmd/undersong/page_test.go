package main

import (
	"os"
	"strings"
	"testing"
)

// TestPageWrites: the commands that show write their page, whatever else they
// write, and a page never takes the place of another file.
func TestPageWrites(t *testing.T) {
	for _, c := range []struct {
		args, files, errors string
	}{
		{"voice song.musicxml -o out.musicxml --page p.html", "out.musicxml p.html song.musicxml", ""},
		{"voice song.musicxml -o - --page p.HTM", "p.HTM song.musicxml", ""},
		{"study song.musicxml --page p.html", "p.html song.musicxml", ""},
		{"study song.musicxml --json s.json --page p.html", "p.html s.json song.musicxml", ""},
		{"variants song.musicxml -o v --page p.html", "p.html song.musicxml v", ""},
		{"voice song.musicxml --page p.pdf", "song.musicxml", "--page p.pdf: the name of a page ends in .html"},
		{"voice song.musicxml --report p.html --page p.html", "song.musicxml", "name the same file"},
	} {
		t.Run(c.args, func(t *testing.T) {
			inFolder(t)
			code, _, errors := undersong(t, "", strings.Fields(c.args)...)
			if (code != 0) != (c.errors != "") || !strings.Contains(errors, c.errors) {
				t.Errorf("exit status %d: %s", code, errors)
			}
			if got := names(t); got != c.files {
				t.Errorf("files: %s, want %s", got, c.files)
			}
		})
	}
}

func TestPageIsKept(t *testing.T) {
	inFolder(t)
	write(t, "p.html", "mine")
	if code, _, errors := undersong(t, "", "study", "song.musicxml", "--page", "p.html"); code != 1 || !strings.Contains(errors, "--force") {
		t.Errorf("exit status %d: %s", code, errors)
	}
	if text, err := os.ReadFile("p.html"); err != nil || string(text) != "mine" {
		t.Errorf("%.40q, %v", text, err)
	}
}
