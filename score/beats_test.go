package score_test

import (
	"fmt"
	"testing"

	"undersong/score"
)

// TestBeats: the beats of each measure go by the time in force, and on in
// quarters where there is none or the measure is longer.
func TestBeats(t *testing.T) {
	s := sketch(t, "1 2 3 4")
	m := s.Parts[0].Measures
	m[1].Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{6}, Unit: 8}}}}}
	m[1].Length = score.Quarters(3)
	m[2].Times = []score.TimeChange{{}}
	m[2].Length = score.Frac(3, 2)
	m[3].Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{1}, Unit: 4}}}}}
	m[3].Length = score.Quarters(2)
	if got, want := fmt.Sprint(s.Beats()), "[[1 1 1 1] [3/2 3/2] [] [1]]"; got != want {
		t.Errorf("beats %s, want %s", got, want)
	}
	if got, want := fmt.Sprint(s.BeatStarts()), "[0 1 2 3 4 11/2 7 8 17/2 19/2]"; got != want {
		t.Errorf("beats start at %s, want %s", got, want)
	}
}
