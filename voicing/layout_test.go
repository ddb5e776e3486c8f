package voicing

import (
	"testing"

	"undersong/score"
)

// TestNoTripletLeft: a note of a triplet that is written longer needs none any more
// where its new length is plain.
func TestNoTripletLeft(t *testing.T) {
	for _, c := range []struct {
		length score.Time
		stays  bool
	}{
		{score.Frac(1, 3), true},
		{score.Frac(2, 3), true},
		{score.Frac(1, 2), false},
		{score.Quarter, false},
	} {
		a := arrange(t, sung(score.Frac(1, 3), []int{72, 48}, []int{72, 55}, []int{72, 52}), Options{}, "relength")
		n := a.notes[0]
		n.Pieces[0].Note.Ratio = score.Ratio{Actual: 3, Normal: 2}
		n.written = c.length
		if laid := a.tied(n)[0].note; (laid.Ratio != score.Ratio{}) != c.stays {
			t.Errorf("written %s quarters long it is in a tuplet: %v", c.length, laid.Ratio)
		}
	}
}
