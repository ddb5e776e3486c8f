package main

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
)

func TestRefitCommand(t *testing.T) {
	inverted := filepath.Join("..", "..", "examples", "lamp-for-the-late-boat", "lamp-for-the-late-boat-inverted.musicxml")
	out := filepath.Join(t.TempDir(), "small.musicxml")
	var stdout, stderr bytes.Buffer
	if code := run([]string{"undersong", "refit", inverted, "--tower", "23", "-o", out}, strings.NewReader(""), &stdout, &stderr); code != 0 {
		t.Fatalf("exit %d: %s", code, stderr.String())
	}
	if text := stderr.String(); !strings.Contains(text, "accompaniment 1 octave down (1") || !strings.Contains(text, "0 left out; 0 strokes cannot be played") {
		t.Errorf("%s", text)
	}
	stderr.Reset()
	if code := run([]string{"undersong", "check", out, "--tower", "23", "--fail-on", "compass"}, strings.NewReader(""), &stdout, &stderr); code != 0 {
		t.Errorf("exit %d: %s", code, stderr.String())
	}
	code, data, errs := undersong(t, "", "refit", inverted, "--tower", "23", "-o", out, "--force", "--json")
	var got struct {
		Version          int
		File, Tower, Out string
	}
	if err := json.Unmarshal([]byte(data), &got); code != 0 || err != nil || got.Version != 1 || got.File != inverted || got.Tower != "23" || got.Out != out {
		t.Errorf("exit %d, %v, %+v: %s", code, err, got, errs)
	}
	code, score, errs := undersong(t, "", "refit", inverted, "--tower", "23", "-o", "-")
	if code != 0 || !strings.HasPrefix(score, "<?xml") || strings.Contains(errs, "written:") {
		t.Errorf("to standard output: exit %d, %.20q: %s", code, score, errs)
	}
	if code := run([]string{"undersong", "refit", inverted, "-o", inverted, "--force"}, strings.NewReader(""), &stdout, &stderr); code != 2 {
		t.Errorf("over itself: exit %d", code)
	}
}
