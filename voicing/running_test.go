package voicing

import (
	"slices"
	"testing"

	"undersong/score"
)

// TestThinRunning: a running figure that is too quick for the one hand that the melody
// leaves goes on evenly, by every second note or, where third and seventh need it, every
// third; where there is time, or both hands, all of it stays.
func TestThinRunning(t *testing.T) {
	sixteenths, eighths := score.Frac(1, 4), score.Frac(1, 2)
	for _, c := range []struct {
		name    string
		voicing Voicing
		step    score.Time
		figure  []int // of one beat, or of two in eighths
		stays   []int // of the figure, by index
	}{
		{"one hand", Tenor, sixteenths, []int{69, 72, 69, 72}, []int{1, 3}},
		{"over a slow beat", Tenor, eighths, []int{45, 52, 57, 52}, []int{0, 1, 2, 3}},
		{"both hands", Inverted, sixteenths, []int{57, 64, 60, 64}, []int{0, 1, 2, 3}},
		{"too quick for both hands", Inverted, score.Frac(1, 6), []int{65, 69, 74, 77, 74, 69}, []int{0, 2, 4}},
		{"a semitone to and fro", Tenor, sixteenths, []int{64, 63, 64, 63}, []int{0, 1, 2, 3}},
		{"third and seventh three apart", Tenor, sixteenths, []int{68, 64, 71, 62}, []int{0, 3}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var strikes [][]int
			for i := range 4 * c.step.Mul(1, 1).Den() {
				key := 0
				if i%int64(len(c.figure)) == 0 {
					key = 81
				}
				strikes = append(strikes, []int{key, c.figure[i%int64(len(c.figure))]})
			}
			a := arrange(t, sung(c.step, strikes...), Options{Voicing: c.voicing}, "thin running figures")
			for i, n := range a.where(func(n *note) bool { return n.role != tune }) {
				stays := slices.Contains(c.stays, i%len(c.figure))
				if (n.leftOut == "") != stays {
					t.Errorf("%s at %s, left out: %q", n.Pitch, n.Onset, n.leftOut)
				}
			}
		})
	}
}

// TestThinRunningAfterBass: a figure whose first note is the bass goes on evenly from it.
func TestThinRunningAfterBass(t *testing.T) {
	var strikes [][]int
	for range 4 {
		strikes = append(strikes, []int{83, 40}, []int{0, 59}, []int{0, 67}, []int{0, 59}, []int{0, 67}, []int{0, 59})
	}
	a := arrange(t, sung(score.Frac(1, 6), strikes...), Options{Voicing: Plain}, "thin running figures")
	for _, n := range a.where(func(n *note) bool { return n.Pitch.MIDI() > 50 && n.role == accompaniment }) {
		if odd := n.Onset.Mul(3, 1).Den() > 1; odd != (n.leftOut != "") {
			t.Errorf("%s at %s, left out: %q", n.Pitch, n.Onset, n.leftOut)
		}
	}
}
