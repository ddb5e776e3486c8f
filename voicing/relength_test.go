package voicing

import (
	"testing"

	"undersong/score"
)

// TestWrittenUntilTheChordLeaves: a bass is written on over rests and weak strokes, but not
// into a chord that it is not of.
func TestWrittenUntilTheChordLeaves(t *testing.T) {
	for last, want := range map[string]score.Time{"C": score.Quarters(4), "A": score.Quarters(4), "G": score.Quarters(2)} {
		s := sung(score.Quarter, []int{79, 48}, []int{0, 64}, []int{0, 64}, []int{77, 64})
		root := map[string]int{"C": 60, "A": 57, "G": 55}[last]
		kind := map[string]string{"C": "major", "A": "minor", "G": "major"}[last]
		s.Parts[0].Measures[0].Chords = []score.ChordSymbol{
			{HasRoot: true, Root: score.Spell(60), Kind: "major"},
			{Onset: score.Quarters(2), HasRoot: true, Root: score.Spell(root), Kind: kind},
		}
		a := arrange(t, s, Options{Voicing: Plain}, "relength")
		for _, n := range a.with(bass) {
			if n.Onset == (score.Time{}) && n.written != want {
				t.Errorf("C then %s: the bass is written for %s quarters, want %s", last, n.written, want)
			}
		}
		if len(a.with(bass)) == 0 {
			t.Error("no bass")
		}
	}
}
