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

// TestBeatsOfAChange: a time signature that begins in mid-measure counts from
// the next one on, whatever order the two of a measure are listed in.
func TestBeatsOfAChange(t *testing.T) {
	time := func(onset int64, beats, unit int) score.TimeChange {
		return score.TimeChange{Onset: score.Quarters(onset), Time: score.TimeSignature{
			Groups: []score.BeatGroup{{Beats: []int{beats}, Unit: unit}},
		}}
	}
	for _, c := range []struct {
		name  string
		times []score.TimeChange
		want  string
	}{
		{"at the start", []score.TimeChange{time(0, 3, 8)}, "[[1 1 1 1] [3/2] [3/2]]"},
		{"in the middle", []score.TimeChange{time(2, 3, 8)}, "[[1 1 1 1] [1 1 1 1] [3/2]]"},
		{"both", []score.TimeChange{time(2, 3, 8), time(0, 2, 4)}, "[[1 1 1 1] [1 1] [3/2]]"},
		{"none such", []score.TimeChange{time(0, 3, 0)}, "[[1 1 1 1] [] []]"},
	} {
		s := sketch(t, "1 2 3")
		m := s.Parts[0].Measures
		m[1].Times = c.times
		if got := fmt.Sprint(s.Beats()); got != c.want {
			t.Errorf("%s: beats %s, want %s", c.name, got, c.want)
		}
	}
}
