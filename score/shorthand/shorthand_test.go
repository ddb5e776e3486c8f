package shorthand

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

const pieces = `= One
in 3 pickup 1 sharps -1 left hand
2 tune: C4=1 | F4=2 G4+Bb3=1
1: r=1 | r=1 A4+C5=1/2x4
phrases: 1 2
= Another
in 4 other
1 tune: F#5=4 | G5
`

func TestRead(t *testing.T) {
	all, err := Read(pieces)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range all {
		got = append(got, p.Title+", "+p.Kind)
		for _, m := range p.Score.Parts[0].Measures {
			line := "measure " + m.Number + ", " + m.Length.String() + ":"
			for i := range m.Notes {
				n := &m.Notes[i]
				line += " " + n.Onset.String() + " " + n.Pitch.String()
				if p.Melody[n] {
					line += "!"
				}
			}
			got = append(got, line)
		}
	}
	if diff := cmp.Diff([]string{
		"One, left hand",
		"measure 1, 1: 0 C4!",
		"measure 2, 3: 0 F4! 2 G4! 2 Bb3 1 A4 1 C5 3/2 A4 3/2 C5 2 A4 2 C5 5/2 A4 5/2 C5",
		"Another, other",
		"measure 1, 4: 0 F#5!",
		"measure 2, 4: 0 G5!",
	}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	one := all[0]
	if one.Marks["phrases"] != "1 2" || one.Score.Parts[0].Measures[0].Keys[0].Key.Fifths != -1 || one.Shortest != one.Longest {
		t.Errorf("marks %v, from %s to %s quarters", one.Marks, one.Shortest, one.Longest)
	}
}

// TestTies: what sounds over a barline is tied, and one tone of the melody.
func TestTies(t *testing.T) {
	all, err := Read("= Over the barlines\nin 2 pickup 1 sharps 0 other\n1 tune: E4=4 F4=1\n2: C3+G3=3/2 D3=7/2\n")
	if err != nil {
		t.Fatal(err)
	}
	p := all[0]
	if faults := score.Check(p.Score); len(faults) > 0 {
		t.Error(faults)
	}
	var got []string
	for _, tone := range p.Score.Tones() {
		got = append(got, fmt.Sprint(tone.Onset, " ", tone.Pitch, " ", tone.Length, " ", len(tone.Pieces), " ", p.Melody[tone.First()]))
	}
	want := []string{"0 C3 3/2 2 false", "0 G3 3/2 2 false", "0 E4 4 3 true", "3/2 D3 7/2 2 false", "4 F4 1 1 true"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestVoices: voices are numbered as in print, measure by measure and from high to low.
func TestVoices(t *testing.T) {
	all, err := Read(`= Two lines and a bass
in 2 other
1 tune: A4=2 | C4=2 | r=2
1: F4=1 G4 | E4=1 F4 | E5=1 F5
2: C3=2 | C3 | C3
`)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range all[0].Score.Parts[0].Measures {
		line := ""
		for _, n := range m.Notes {
			line += fmt.Sprint(" ", n.Pitch, " ", n.Voice)
		}
		got = append(got, line)
	}
	if diff := cmp.Diff([]string{" A4 1 F4 2 G4 2 C3 5", " C4 2 E4 1 F4 1 C3 5", " E5 1 F5 1 C3 5"}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

func TestReadErrors(t *testing.T) {
	for change, want := range map[string]string{
		"F4=2>H4=2":          `One: line 3: "H4" is no pitch`,
		"F4=2>F=2":           `One: line 3: "F" is no pitch`,
		"F4=2>F44=2":         `One: line 3: "F44" is no pitch`,
		"F4=2>F#b4=2":        `One: line 3: "F#b4" is no pitch`,
		"F4=2>F4=0":          `One: line 3: "0" is no length`,
		"F4=2>F4=-2":         `One: line 3: "-2" is no length`,
		"1/2x4>1/2xx":        `One: line 4: "x" is no number of times`,
		"1/2x4>1/2x":         `One: line 4: "" is no number of times`,
		"1/2x4>1/2x0":        `One: line 4: "0" is no number of times`,
		"1/2x4>1/2x1000":     `One: line 4: "1000" is no number of times`,
		"F#5=4>F#5=100000":   "Another: line 8: a voice of more than 100000 quarters",
		"F#5=4>F#5=four":     "Another: line 8: ",
		"F#5=4 | G5>|":       "Another: line 8: a voice without notes",
		"phrases: 1 2>2tune": `One: line 5: "2tune" begins neither`,
		"phrases: 1 2>3: C4": `One: line 5: "3" begins neither`,
		"in 4 other>other":   `Another: line 7: "other": a measure is`,
		"in 4 >in 1/1000 ":   `Another: line 7: "in 1/1000 other": a measure is`,
		"sharps -1>sharps 9": `One: line 2: "in 3 pickup 1 sharps 9 left hand": a measure is`,
		"1 tune: F#5>F#5: 1": "Another: line 6: no voice",
		"phrases: 1 2>1: r=4\n1: r=4\n1: r=4\n1: r=4": "One: line 8: staff 1 has more than 4 voices",
		"= One>One": "line 1: it begins with no title",
	} {
		from, to, _ := strings.Cut(change, ">")
		_, err := Read(strings.Replace(pieces, from, to, 1))
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: %v, want %s", change, err, want)
		}
	}
}
