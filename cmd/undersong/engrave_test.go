package main

import (
	"context"
	"encoding/xml"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// fakeNode makes a folder that seems to have the engraving library, and a node
// that is a shell script, the only program there is.
func fakeNode(t *testing.T, does string) (folder string) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("SKIPPED: the program in place of node is a shell script")
	}
	folder, path := t.TempDir(), t.TempDir()
	if err := os.MkdirAll(filepath.Join(folder, "node_modules", "verovio"), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", path)
	if does != "" {
		if err := os.WriteFile(filepath.Join(path, "node"), []byte("#!/bin/sh\n"+does+"\n"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// TestNotEngraved: where nothing can be drawn, page and terminal say why in one
// line, and all else is as it would be.
func TestNotEngraved(t *testing.T) {
	for name, c := range map[string]struct{ does, want string }{
		"no node":            {"", "there is no Node: install it"},
		"it fails":           {"echo 'no such luck' >&2; echo more >&2; exit 3", "drawing failed: no such luck\n"},
		"it fails silently":  {"exit 3", "drawing failed: exit status 3\n"},
		"it draws nothing":   {"echo '[]'", "no system was drawn"},
		"it says other":      {"echo hello", "what was drawn cannot be read"},
		"it draws a program": {`echo '[{"svg": "<svg><script/></svg>", "measures": 1}]'`, "system 1 of the drawing: not a picture of music: it has a <script>"},
	} {
		t.Run(name, func(t *testing.T) {
			inFolder(t)
			folder := fakeNode(t, c.does)
			code, _, errors := undersong(t, "", "voice", "song.musicxml", "-o", "out.musicxml", "--page", "p.html", "--engrave", "--engrave-with", folder)
			if code != 0 || strings.Count(errors, "The score is not engraved: ") != 1 || !strings.Contains(errors, c.want) {
				t.Errorf("exit status %d: %s", code, errors)
			}
			if page, err := os.ReadFile("p.html"); err != nil || strings.Count(string(page), "The score is not engraved: ") != 1 {
				t.Errorf("the page does not say so: %v", err)
			}
			if got := names(t); got != "out.musicxml p.html song.musicxml" {
				t.Errorf("files: %s", got)
			}
		})
	}
}

// TestEngraveLibrary: without the library the line says how to get it; without
// a page --engrave is wrong use.
func TestEngraveLibrary(t *testing.T) {
	inFolder(t)
	code, _, errors := undersong(t, "", "voice", "song.musicxml", "-o", "-", "--page", "p.html", "--engrave")
	if code != 0 || !strings.Contains(errors, "run 'npm ci' in") {
		t.Errorf("exit status %d: %s", code, errors)
	}
	if code, _, errors := undersong(t, "", "voice", "song.musicxml", "--engrave"); code != 2 || !strings.Contains(errors, "--page") {
		t.Errorf("exit status %d: %s", code, errors)
	}
}

// TestDrawingIsStopped: what hangs is ended, and what it started does not keep
// us.
func TestDrawingIsStopped(t *testing.T) {
	folder := fakeNode(t, "/bin/sleep 60 & /bin/sleep 60")
	began := time.Now()
	_, err := draw(context.Background(), folder, nil, 100*time.Millisecond)
	if err == nil || !strings.Contains(err.Error(), "took more than 100ms and was stopped") {
		t.Error(err)
	}
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("stopped after %v", took)
	}
}

// TestEngraves draws the example song with the library itself: every measure is
// in a system, the notes of the melody have their ring, and no ID is in the
// page twice.
func TestEngraves(t *testing.T) {
	folder, err := filepath.Abs("engraving")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(folder, "node_modules")); err != nil {
		t.Skip("SKIPPED: no engraving library: run 'npm ci' in cmd/undersong/engraving")
	}
	inFolder(t)
	code, _, errors := undersong(t, "", "voice", "song.musicxml", "-o", "out.musicxml", "--page", "p.html", "--engrave", "--engrave-with", folder)
	if code != 0 || strings.Contains(errors, "not engraved") {
		t.Fatalf("exit status %d: %s", code, errors)
	}
	text, err := os.ReadFile("p.html")
	if err != nil {
		t.Fatal(err)
	}
	page := string(text)
	_, score, _ := strings.Cut(page, `<section id="score"`)
	score, _, _ = strings.Cut(score, "</section>")
	notes := strings.Count(score, `<g class="melody">`)
	if rings := strings.Count(score, `class="ring"`); notes < 5 || rings != notes {
		t.Errorf("%d notes of the melody, %d rings", notes, rings)
	}
	ids := map[string]bool{}
	for _, after := range strings.Split(score, ` id="`)[1:] {
		id, _, _ := strings.Cut(after, `"`)
		if ids[id] {
			t.Errorf("ID %s twice", id)
		}
		ids[id] = true
	}
	if !strings.Contains(score, `<a href="#m0">`) {
		t.Error("the first system leads to no measure")
	}
	if err := xml.Unmarshal([]byte("<section"+score+"</section>"), new(any)); err != nil {
		t.Errorf("not well-formed: %v", err)
	}
}
