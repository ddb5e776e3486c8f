package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"undersong/voicing/study"
)

func TestStudyText(t *testing.T) {
	inFolder(t)
	before := names(t)
	code, out, errors := undersong(t, "", "study", "song.musicxml", "--tower", "35")
	if code != 0 || errors != "" {
		t.Fatalf("exit %d: %s", code, errors)
	}
	for _, want := range []string{"for tower ", "key: G major", "last chorus: Last Chorus, 46–56", "Verse 1 (B), 5–12", "phrases from:"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	if after := names(t); after != before {
		t.Errorf("files %s, before %s", after, before)
	}
}

// TestStudyJSON: the same data in a file and on standard output, and no text
// beside it.
func TestStudyJSON(t *testing.T) {
	inFolder(t)
	code, out, errors := undersong(t, "", "study", "--json", "s.json", "song.musicxml")
	if code != 0 || out != "" || errors != "" {
		t.Fatalf("exit %d: %s%s", code, out, errors)
	}
	file, err := os.ReadFile("s.json")
	if err != nil {
		t.Fatal(err)
	}
	code, out, errors = undersong(t, "", "study", "song.musicxml", "--json", "-")
	if code != 0 || errors != "" || out != string(file) {
		t.Errorf("exit %d, %d bytes on standard output, %d in the file: %s", code, len(out), len(file), errors)
	}
	var s study.Study
	if err := json.Unmarshal(file, &s); err != nil {
		t.Fatal(err)
	}
	if s.Version != 1 || s.File != "song.musicxml" || len(s.Melody) != 255 || len(s.Sections) != 8 {
		t.Errorf("version %d, file %s, %d notes, %d sections", s.Version, s.File, len(s.Melody), len(s.Sections))
	}
	if code, _, errors = undersong(t, "", "study", "song.musicxml", "--json", "s.json"); code != 1 || !strings.Contains(errors, "s.json is there already") {
		t.Errorf("exit %d: %s", code, errors)
	}
	if code, _, errors = undersong(t, "", "study", "song.musicxml", "--json", "s.json", "--force"); code != 0 {
		t.Errorf("exit %d: %s", code, errors)
	}
}

func TestStudyMelody(t *testing.T) {
	inFolder(t)
	code, out, errors := undersong(t, "", "study", "song.musicxml", "--melody", "staff=2,measures=1-4", "--melody", "staff=2,measures=57-60")
	if code != 0 || !strings.Contains(out, "overruled by staff=2,measures=1-4, overruled by staff=2,measures=57-60") {
		t.Errorf("exit %d: %s%s", code, out, errors)
	}
}

// The user's sections are those of the study, and of a plan and what is voiced by it.
func TestSections(t *testing.T) {
	inFolder(t)
	code, out, errors := undersong(t, "", "study", "song.musicxml", "--sections", "1, 29,45")
	if code != 0 || strings.Count(out, " inverted")+strings.Count(out, "in the pedals;") != 3 || !strings.Contains(out, ", 29–44") {
		t.Errorf("exit %d: %s%s", code, out, errors)
	}
	if code, out, errors := undersong(t, "", "voice", "song.musicxml", "--sections", "1,29,45", "--leave", "intro", "--invert", "chorus", "-o", "s.musicxml"); code != 0 {
		t.Errorf("exit %d: %s%s", code, out, errors)
	}
}

func TestStudyStandardInput(t *testing.T) {
	inFolder(t)
	song, err := os.ReadFile("song.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	if code, out, errors := undersong(t, string(song), "study", "-"); code != 0 || !strings.Contains(out, "key: G major") {
		t.Errorf("exit %d: %s%s", code, out, errors)
	}
}

// TestStudyRefuses: one line, the right exit status, and nothing written.
func TestStudyRefuses(t *testing.T) {
	for _, c := range []struct {
		name, args string
		code       int
		want       string
	}{
		{"no score", "study", 2, "one score"},
		{"two scores", "study a b", 2, "one score"},
		{"unknown flag", "study --loud song.musicxml", 2, "-loud"},
		{"unknown tower", "study song.musicxml --tower tall", 1, "tall"},
		{"a place without a line", "study song.musicxml --melody measures=1-4", 2, "names no part, staff or voice"},
		{"an unknown key", "study song.musicxml --melody stave=1", 2, `unknown key "stave"`},
		{"no such notes", "study song.musicxml --melody part=Flute", 1, "its parts are Piano"},
		{"no such measures", "study song.musicxml --melody staff=1,measures=90-95", 1, "no such notes"},
		{"no such section", "study song.musicxml --sections 1,90", 1, `song.musicxml: --sections: there is no measure "90"`},
		{"no section", "study song.musicxml --sections=", 1, `there is no measure ""`},
		{"the score itself", "study song.musicxml --force --json song.musicxml", 2, "is the score itself"},
		{"the tower itself", "study song.musicxml --tower ours.yaml --force --json ours.yaml", 2, "is the tower itself"},
		{"no such folder", "study song.musicxml --json none/s.json", 1, "there is no folder none"},
		{"missing", "study none.musicxml", 1, "none.musicxml: no such file"},
		{"a folder", "study .", 1, ". is a folder"},
		{"one input for two", "study - --tower -", 2, "cannot both come from standard input"},
		{"not a score", "study words.xml", 1, "words.xml: not MusicXML"},
	} {
		t.Run(c.name, func(t *testing.T) {
			inFolder(t)
			write(t, "words.xml", "words")
			write(t, "ours.yaml", "from: 35\n")
			before := names(t)
			code, out, errors := undersong(t, "", strings.Fields(c.args)...)
			if code != c.code || out != "" || !strings.Contains(errors, c.want) || strings.Count(errors, "\n") != 1 {
				t.Errorf("exit %d, want %d with one line that says %q:\n%s", code, c.code, c.want, errors)
			}
			if after := names(t); after != before {
				t.Errorf("files %s, before %s", after, before)
			}
		})
	}
}

// TestStudyEverything studies every small score of the test data: it works or
// gives one-line errors.
func TestStudyEverything(t *testing.T) {
	files, studied := smallScores(t), 0
	for _, file := range files {
		code, out, errors := undersong(t, "", "study", file, "--json", "-")
		var s study.Study
		switch {
		case code == 0 && (json.Unmarshal([]byte(out), &s) != nil || s.Version != 1):
			t.Errorf("%s: %s", file, out)
		case code == 0:
			studied++
		case code != 1 || !strings.HasPrefix(errors, "undersong: "+file):
			t.Errorf("%s: exit %d: %s", file, code, errors)
		}
		if code, _, errors = undersong(t, "", "study", file); code > 1 {
			t.Errorf("%s: exit %d: %s", file, code, errors)
		}
	}
	if studied < len(files)*3/4 {
		t.Errorf("only %d of %d files studied", studied, len(files))
	}
}

// TestNoticesTold: what is likely wrong in a file is told by whoever reads it for a person.
func TestNoticesTold(t *testing.T) {
	inFolder(t)
	song, err := os.ReadFile("song.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir("songs", 0o755); err != nil {
		t.Fatal(err)
	}
	// Measures of four quarter notes in a metre of three.
	write(t, "songs/long.musicxml", strings.Replace(string(song), "<beats>4</beats>", "<beats>3</beats>", 1))
	const want = "measures do not fit their time signature in 44 places (part Piano, measure 1 has 4 quarter notes, 3/4 holds 3;"
	for args, what := range map[string]string{
		"study songs/long.musicxml":               "notice: ",
		"study songs/long.musicxml --json -":      `"notices": [`,
		"check songs/long.musicxml":               "notice: ",
		"check songs/long.musicxml --json -":      `"notices": [`,
		"voice songs/long.musicxml -o out.xml":    "finding: ",
		"study songs/long.musicxml --page p.html": "notice: ",
		"songbook songs -o out":                   "",
		"songbook songs -o out2 --json":           `"notices": [`,
	} {
		code, out, errs := undersong(t, "", strings.Fields(args)...)
		told := strings.Join(strings.Fields(out+errs), " ")
		if code != 0 || !strings.Contains(told, strings.TrimSpace(what)) || !strings.Contains(told, want) {
			t.Errorf("%s: exit %d: %.2000s", args, code, told)
		}
	}
	for _, file := range []string{"p.html", "out/songbook.csv", "out/songbook.html"} {
		if text, err := os.ReadFile(file); err != nil || !strings.Contains(string(text), want) {
			t.Errorf("%s does not tell it: %v", file, err)
		}
	}
}
