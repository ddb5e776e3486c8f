package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var lamp = filepath.Join("..", "..", "examples", "lamp-for-the-late-boat", "lamp-for-the-late-boat.musicxml")

func TestVariantsCommand(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "ways")
	var out, errs bytes.Buffer
	args := []string{"undersong", "variants", lamp, "-o", folder, "--json"}
	if code := run(args, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	var rows []struct {
		Version                int
		File, Tower, Out, Name string
	}
	if err := json.Unmarshal(out.Bytes(), &rows); err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r.Version != 1 || r.File != lamp || r.Tower != "47" || r.Out != filepath.Join(folder, "lamp-for-the-late-boat-"+r.Name+".musicxml") {
			t.Errorf("%+v", r)
		}
		if _, err := os.Stat(r.Out); err != nil {
			t.Error(err)
		}
	}
	if _, err := os.Stat(filepath.Join(folder, "lamp-for-the-late-boat-variants.html")); err != nil {
		t.Error(err)
	}
	if len(rows) != 5 {
		t.Errorf("%d variants", len(rows))
	}
	if code := run(args, strings.NewReader(""), &out, &errs); code != 1 || !strings.Contains(errs.String(), "--force") {
		t.Errorf("a second time: exit %d: %s", code, errs.String())
	}
}

func TestFitCommand(t *testing.T) {
	var out, errs bytes.Buffer
	if code := run([]string{"undersong", "fit", lamp, "--towers", "23, 61"}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	if text := out.String(); strings.Count(text, "\n") != 4 || !strings.HasPrefix(text, "lamp-for-the-late-boat, inverted\n") || !strings.Contains(text, "\n23 ") || !strings.Contains(text, "\n61 ") {
		t.Errorf("%s", text)
	}
	if _, data, errs := undersong(t, "", "fit", lamp, "--towers", "23", "--json"); !strings.HasPrefix(data, "[\n  {\n    \"version\": 1,\n    \"file\": \""+lamp+"\",\n    \"tower\": \"23\",\n    \"name\": \"23\",\n") {
		t.Error(data, errs)
	}
	if code := run([]string{"undersong", "fit", lamp, "--towers", "12"}, strings.NewReader(""), &out, &errs); code != 1 {
		t.Errorf("no such tower: exit %d", code)
	}
}

// TestPlanCommand: a plan is what voice does without one when it follows the study,
// and goes where -o says, as YAML or as JSON.
// A plan says by which flags its study was made.
func TestPlanSays(t *testing.T) {
	inFolder(t)
	code, out, errors := undersong(t, "", "plan", "song.musicxml", "--sections", "1,29", "--melody", "none,measures=1-4")
	if code != 0 || !strings.HasPrefix(out, "# Made with --melody none,measures=1-4 --sections 1,29: give voice the same.\n") {
		t.Errorf("exit %d: %s%s", code, out, errors)
	}
}

func TestPlanCommand(t *testing.T) {
	dir := t.TempDir()
	file := func(name string) string { return filepath.Join(dir, name) }
	for _, args := range [][]string{
		{"plan", lamp, "-o", file("lamp.yaml")}, {"plan", lamp, "-o", file("lamp.json"), "--json"},
		{"voice", lamp, "--plan", file("lamp.yaml"), "-o", file("planned.musicxml")}, {"voice", lamp, "--voicing", "auto", "-o", file("auto.musicxml")},
	} {
		if code, _, errs := undersong(t, "", args...); code != 0 {
			t.Fatalf("%v: exit %d: %s", args, code, errs)
		}
	}
	read := func(name string) string {
		text, err := os.ReadFile(file(name))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if read("planned.musicxml") != read("auto.musicxml") {
		t.Error("the plan is not what --voicing auto does")
	}
	if text := read("lamp.json"); !strings.HasPrefix(text, "{") || !strings.Contains(text, `"where"`) {
		t.Error(text)
	}
}
