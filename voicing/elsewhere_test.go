package voicing

import (
	"slices"
	"strings"
	"testing"

	"undersong/instrument"
)

// TestElsewhere: what is not an octave down in the pedals has a reason, and the note that it
// lies with.
func TestElsewhere(t *testing.T) {
	for _, c := range []struct {
		name  string
		tower string
		text  string
		want  string
		at    int
	}{
		{"as it should be", "47", "67 69 71 72 71 69 67 65", "", 0},
		{"a key that is missing", "47", "64 66 64 63 66 68 69 71", "an octave down the pedals have no D#3", 3},
		{"higher than written", "47", "50 52 53 55 57 55 53 49", "as written the pedals have no C#3", 7},
		{"beside one that goes up", "47", "52 53 55 57 59 57 55 53:3 -:1 53 52 50 49 50 52 53 52:3", "as written the pedals have no C#3, and a phrase beside it stays with it", 11},
		{"no octave has all", "47", "69 71 63 75 71 69 67 65", "no octave of the pedals has all of it: an octave down there is no D#3", 2},
		{"too quick for the feet", "47", "67 69 71 " + strings.Repeat("60:20/100 72:20/100 62:20/100 74:20/100 76:20/100 72 ", 3), "an octave down in the pedals 3 strokes of it would come too soon", 0},
	} {
		tower, err := instrument.Named(c.tower)
		if err != nil {
			t.Fatal(err)
		}
		a := newArrangement(tuneAt(t, 60, c.text), Options{Tower: tower, Voicing: Inverted})
		p := Place(a.source, a.tones, a.line, tower, Inverted, 0)
		switch {
		case c.want == "" && len(p.Elsewhere) > 0, c.want != "" && len(p.Elsewhere) == 0:
			t.Errorf("%s: %+v", c.name, p)
		case c.want != "" && (p.Elsewhere[0].Why != c.want || p.Elsewhere[0].At != c.at):
			t.Errorf("%s: %+v", c.name, p.Elsewhere)
		}
	}
}

// TestElsewhereOfAll: each note that is not where the voicing wants it has one reason, and no other has.
func TestElsewhereOfAll(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		a := newArrangement(o.doc.Score(), Options{Tower: o.tower, Voicing: o.voicing})
		p := Place(a.source, a.tones, a.line, o.tower, o.voicing, 0)
		w := ways[o.voicing]
		for i, n := range p.Notes {
			all := slices.DeleteFunc(slices.Clone(p.Elsewhere), func(e Elsewhere) bool { return i < e.First || i >= e.Last })
			off := n.Octaves != w.melodyWant || n.Pedals != (w.melody[0] == feet)
			if off != (len(all) == 1) || off && (all[0].Why == "" || all[0].At < 0 || all[0].At >= len(p.Notes)) {
				t.Errorf("note %d, %+v: %+v", i, n, all)
			}
		}
	})
}
