package voicing

import (
	"slices"
	"testing"

	"undersong/score"
)

// TestShareFigure: a figure that leaves one hand little time to spare goes to and fro
// between the hands where both are free ("one note per hand when moving", J. Gouwens,
// "Playing the Carillon", App. B; that hands take turns is common practice, no source); a
// slow one stays in one hand.
func TestShareFigure(t *testing.T) {
	for _, c := range []struct {
		name   string
		figure []int // two eighths of a third of a second
		shares bool
	}{
		{"a sixth apart", []int{67, 76}, true},
		{"a third apart", []int{72, 76}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			var strikes [][]int
			for i := range 16 {
				key := 0
				if i%4 == 0 {
					key = 72
				}
				strikes = append(strikes, []int{key, c.figure[i%2]})
			}
			a := arrange(t, sung(score.Frac(1, 2), strikes...), Options{Voicing: Inverted}, "accompany")
			hands := map[seat]int{}
			for _, n := range a.with(accompaniment) {
				hands[n.seat]++
			}
			if shares := hands[leftHand] > 0 && hands[rightHand] > 0; shares != c.shares {
				t.Errorf("the left hand has %d strokes, the right hand %d", hands[leftHand], hands[rightHand])
			}
		})
	}
}

// TestRepeatedChord: a chord that is struck again is shared between the hands as before.
func TestRepeatedChord(t *testing.T) {
	const melody = 72
	measure := [][]int{{melody, 50}, {0, 57, 60, 62, 65}, {0, 57, 60, 62, 65}, {0, 57, 60, 62, 65}}
	a := arrange(t, sung(score.Quarter, slices.Concat(measure, measure)...), Options{Voicing: Inverted}, "settle")
	hands := map[int]seat{} // by key
	for _, n := range a.with(accompaniment) {
		if n.Onset == a.starts[a.measureAt(n.Onset)] {
			continue
		}
		if hand, known := hands[n.key()]; known && hand != n.seat {
			t.Errorf("%s at %s goes to the %s", n.placed(), n.Onset, n.seat)
		}
		hands[n.key()] = n.seat
	}
}
