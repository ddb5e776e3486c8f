package voicing

import (
	"slices"
	"strings"
	"testing"

	"undersong/score"
)

// TestTellChords: chords that are heard without their root or third are told, if they are
// more than one, or the last; a pedal sounds until the next.
func TestTellChords(t *testing.T) {
	c, g := []int{79, 48, 64, 67}, []int{79, 55, 59, 62}
	for _, test := range []struct {
		name string
		lost []int // pitches
		from int   // in measures from this index on
		want []string
	}{
		{"nothing lost", nil, 0, nil},
		{"the root of C", []int{48}, 0, []string{"2 of 4 chords are heard without their root: measures 1, 3"}},
		{"one root", []int{48}, 2, nil},
		{"the last third", []int{59}, 3, []string{"the last chord is heard without its third: measure 4"}},
		{"both thirds", []int{64, 59}, 0, []string{"4 of 4 chords are heard without their third: measures 1, 2, 3, 4"}},
		{"a fifth", []int{62}, 0, nil},
	} {
		var strikes [][]int
		for _, chord := range [][]int{c, g, c, g} {
			strikes = append(strikes, chord, chord[:1], chord[:1], chord[:1])
		}
		s := sung(score.Quarter, strikes...)
		for i, m := range s.Parts[0].Measures {
			m.Number = string(rune('1' + i))
		}
		a := arrange(t, s, Options{Voicing: Plain}, "relength")
		a.report.Findings = nil
		for _, n := range a.notes {
			n.leftOut = ""
			if slices.Contains(test.lost, n.Pitch.MIDI()) && a.measureAt(n.Onset) >= test.from {
				n.leftOut = "for the test"
			}
		}
		a.tellChords()
		var told []string
		for _, f := range a.report.Findings {
			told = append(told, f.Text)
		}
		if !slices.Equal(told, test.want) {
			t.Errorf("%s: %s", test.name, strings.Join(told, "; "))
		}
	}
}
