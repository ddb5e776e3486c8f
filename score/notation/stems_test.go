package notation

import (
	"strings"
	"testing"

	"undersong/score"
)

var stemWords = map[score.Stem]string{score.StemAuto: "-", score.StemUp: "up", score.StemDown: "down", score.StemNone: "none"}

func TestStems(t *testing.T) {
	asked := func(stem score.Stem) func(*score.Measure) {
		return func(m *score.Measure) { m.Notes[0].Stem = stem }
	}
	for _, c := range []struct {
		name, notes string
		change      func(*score.Measure)
		want        string
	}{
		{"the middle line", "B4:1 A4:1 C5:1 D4:1", nil, "down up down up"},
		{"a chord by its farthest note", "1/1| C4:1 1/1| C5:1 -:3", nil, "up - -"},
		{"as far above as below", "1/1| G4:1 1/1| D5:1 -:3", nil, "down - -"},
		{"alike under a beam", "A4:1/2 E5:1/2 A4:1/2 A4:1/2 D5:2", nil, "down down down down down"},
		{"two voices", "1/1| A4:2 A4:2 2/1| F5:2 F5:2", nil, "up up down down"},
		{"three voices", "1/1| A4:2 A4:2 2/1| F5:2 F5:2 3/1| C4:2 C4:2", nil, "up up down down up up"},
		{"voices of other staves", "1/1| D5:2 D5:2 5/2| D5:2 D5:2", nil, "down down down down"},
		{"whole notes", "C4:4", nil, "-"},
		{"asked for", "C4:1 C4:3", asked(score.StemDown), "down up"},
		{"none asked for", "C4:1 C4:3", asked(score.StemNone), "none up"},
		{"whole notes, none asked for", "C4:4", asked(score.StemNone), "-"},
		{"grace notes up", "E5:g E5:2 E5:2", nil, "up down down"},
		{"grace notes of the second voice", "1/1| C5:4 2/1| A4:g A4:2 A4:2", nil, "- down down down"},
		{"bass clef", "C3:2 E3:2", clef(score.Bass, 0), "up down"},
		{"a clef in the middle", "C4:1 C4:3", clef(score.Bass, 1), "up down"},
		{"no clef of pitches", "C4:1 C4:3", clef(score.Clef{Sign: "percussion"}, 0), "down down"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := measure(t, c.notes)
			m.Times = timeChange("4/4")
			if c.change != nil {
				c.change(m)
			}
			var got []string
			for _, v := range engrave(m, 1, true) {
				for _, e := range v.Events {
					got = append(got, stemWords[e.Stem])
				}
			}
			if strings.Join(got, " ") != c.want {
				t.Errorf("got %v, want %s", got, c.want)
			}
		})
	}
}

func clef(c score.Clef, onset int64) func(*score.Measure) {
	return func(m *score.Measure) {
		m.Clefs = append(m.Clefs, score.ClefChange{Onset: score.Quarters(onset), Staff: 1, Clef: c})
	}
}
