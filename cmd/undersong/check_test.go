package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"undersong/voicing/check"
)

// lowThird is a score of two staves with a note that tower 47 has no pedal for
// and a major third on low bells.
const lowThird = `<score-partwise version="4.0">
<part-list><score-part id="P1"><part-name>Bells</part-name></score-part></part-list>
<part id="P1"><measure number="1">
<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves>
<clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef></attributes>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><voice>1</voice><staff>1</staff></note>
<backup><duration>4</duration></backup>
<note><pitch><step>C</step><alter>1</alter><octave>3</octave></pitch><duration>2</duration><voice>5</voice><staff>2</staff></note>
<note><pitch><step>F</step><octave>3</octave></pitch><duration>2</duration><voice>5</voice><staff>2</staff></note>
<note><chord/><pitch><step>A</step><octave>3</octave></pitch><duration>2</duration><voice>5</voice><staff>2</staff></note>
</measure></part></score-partwise>
`

func TestCheckTells(t *testing.T) {
	inFolder(t)
	write(t, "bells.xml", lowThird)
	code, out, errors := undersong(t, "", "check", "bells.xml")
	if code != 0 || errors != "" {
		t.Fatalf("exit %d: %s", code, errors)
	}
	for _, want := range []string{
		"bells.xml: for tower 47", "hands: staff 1 of Bells; feet: staff 2 of Bells", "difficulty 1 of 5",
		"findings: 1 compass, 1 low-thirds", "measure 1, beat 1  compass: C#3 has no pedal; the nearest is C#4", "measure 1, beat 3  low-thirds: F3 A3",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in:\n%s", want, out)
		}
	}
	if code, fromPipe, _ := undersong(t, lowThird, "check", "-", "--tower", "47"); code != 0 || strings.Replace(fromPipe, "-:", "bells.xml:", 1) != out {
		t.Errorf("from standard input, exit %d:\n%s", code, fromPipe)
	}
}

// TestCheckFailOn: only categories that are asked for, and that occur, fail.
func TestCheckFailOn(t *testing.T) {
	inFolder(t)
	write(t, "bells.xml", lowThird)
	for _, tt := range []struct {
		categories string
		code       int
		want       string
	}{
		{"unplayable", 0, ""},
		{"unplayable,blur,balance", 0, ""},
		{"compass", 1, "undersong: bells.xml: findings of --fail-on: 1 compass\n"},
		{"unplayable, low-thirds", 1, "undersong: bells.xml: findings of --fail-on: 1 low-thirds\n"},
		{"all", 1, "undersong: bells.xml: findings of --fail-on: 1 compass, 1 low-thirds\n"},
		{"compas", 2, `undersong: --fail-on: no category "compas": there are compass, unplayable, too-fast, too-dense, blur, balance, low-thirds, ringing-thirds, and all` + "\n"},
		{",", 2, `undersong: --fail-on: no category "": there are compass, unplayable, too-fast, too-dense, blur, balance, low-thirds, ringing-thirds, and all` + "\n"},
	} {
		code, out, errors := undersong(t, "", "check", "bells.xml", "--fail-on", tt.categories)
		if code != tt.code || errors != tt.want {
			t.Errorf("%s: exit %d, want %d: %s", tt.categories, code, tt.code, errors)
		}
		if told := strings.Contains(out, "low-thirds: F3 A3"); told != (code < 2) {
			t.Errorf("%s: exit %d and standard output\n%s", tt.categories, code, out)
		}
	}
}

func TestCheckJSON(t *testing.T) {
	inFolder(t)
	write(t, "bells.xml", lowThird)
	code, out, errors := undersong(t, "", "check", "bells.xml", "--json", "-")
	if code != 0 || errors != "" {
		t.Fatalf("exit %d: %s", code, errors)
	}
	var r check.Report
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if r.Version != 1 || r.File != "bells.xml" || r.Tower != "47" || len(r.Findings) != 2 || r.Totals[check.LowThirds] != 1 || len(r.Measures) != 1 {
		t.Errorf("report %+v", r)
	}
	if code, text, errors := undersong(t, "", "check", "bells.xml", "--json", "r.json", "--fail-on", "compass"); code != 1 || text != "" {
		t.Errorf("exit %d: %s%s", code, text, errors)
	}
	if file, err := os.ReadFile("r.json"); err != nil || string(file) != out {
		t.Errorf("the file differs from standard output: %v", err)
	}
	if code, _, errors := undersong(t, "", "check", "bells.xml", "--json", "r.json", "--force"); code != 0 {
		t.Error(errors)
	}
}

// TestCheckRefuses: one line, the right exit status, and nothing written.
func TestCheckRefuses(t *testing.T) {
	for _, c := range []struct {
		name, args string
		code       int
		want       string
	}{
		{"no score", "check", 2, "one score"},
		{"two scores", "check a b", 2, "one score"},
		{"missing", "check none.xml", 1, "none.xml: no such file"},
		{"unknown tower", "check song.musicxml --tower tall", 1, "tall"},
		{"one input for two", "check - --tower -", 2, "cannot both come from standard input"},
		{"the score itself", "check song.musicxml --json song.musicxml --force", 2, "is the score itself"},
		{"there already", "check song.musicxml --json there.json", 1, "there.json is there already"},
		{"nobody's melody", "check song.musicxml --melody staff=9", 1, "--melody"},
		{"nothing to strike", "check rests.xml", 1, "rests.xml: there is nothing to strike"},
	} {
		t.Run(c.name, func(t *testing.T) {
			inFolder(t)
			write(t, "there.json", "kept")
			write(t, "rests.xml", `<score-partwise><part id="P1"><measure number="1"><note><rest/><duration>1</duration></note></measure></part></score-partwise>`)
			before := names(t)
			code, out, errors := undersong(t, "", strings.Fields(c.args)...)
			if code != c.code || out != "" || !strings.Contains(errors, c.want) || strings.Count(errors, "\n") != 1 {
				t.Errorf("exit %d, want %d with one line that says %q:\n%s%s", code, c.code, c.want, out, errors)
			}
			if after := names(t); after != before {
				t.Errorf("files %s, before %s", after, before)
			}
		})
	}
}
