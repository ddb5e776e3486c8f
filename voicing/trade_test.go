package voicing

import (
	"slices"
	"testing"

	"undersong/instrument"
	"undersong/score"
)

// TestTrade holds every result, as read back from its file, at towers of every
// size to what a player can strike at one moment. Hands are told by their
// stems: up for the right, down for the left (common practice, no source).
func TestTrade(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		for onset, limbs := range strokes(o.back) {
			limbs.check(t, onset, o.tower)
		}
	})
}

// limbs are the keys that each limb strikes at one moment.
type limbs struct{ left, right, feet []int }

func strokes(s *score.Score) map[score.Time]*limbs {
	all := map[score.Time]*limbs{}
	for _, tone := range s.Tones() {
		n, key := tone.First(), tone.Pitch.MIDI()-s.Parts[0].Measures[0].Transposes[0].Semitones
		if n.Grace {
			continue
		}
		if all[tone.Onset] == nil {
			all[tone.Onset] = &limbs{}
		}
		l := all[tone.Onset]
		switch {
		case n.Staff == 2:
			l.feet = append(l.feet, key)
		case n.Voice == 2: // a whole note has no stem
			l.left = append(l.left, key)
		default:
			l.right = append(l.right, key)
		}
	}
	return all
}

func (l *limbs) check(t *testing.T, onset score.Time, tower *instrument.Tower) {
	t.Helper()
	for _, hand := range [][]int{l.left, l.right} {
		// "no wider than a perfect fourth" (J. Gouwens, "Playing the Carillon",
		// App. B); a third note only exceptionally.
		slices.Sort(hand)
		if len(hand) > 2 || len(hand) == 2 && hand[1]-hand[0] > 5 {
			t.Errorf("at %s one hand has %v", onset, hand)
		}
		for _, key := range hand {
			if !tower.Manual.Has(key) {
				t.Errorf("at %s there is no key %d", onset, key)
			}
		}
	}
	for _, key := range l.feet {
		if !tower.Pedals.Has(key) {
			t.Errorf("at %s there is no pedal %d", onset, key)
		}
	}
	slices.Sort(l.feet)
	if len(l.feet) > 2 || len(l.feet) == 2 && l.feet[1]-l.feet[0] > 16 {
		t.Errorf("at %s the feet have %v: beyond a tenth (Arts at Michigan, 2022)", onset, l.feet)
	}
	hands := append(append([]int(nil), l.left...), l.right...)
	all := append(append([]int(nil), hands...), l.feet...)
	if len(all) > 6 {
		t.Errorf("at %s %d notes; hands and feet have six (City of Mechelen; Karlskirche Kassel)", onset, len(all))
	}
	for i, low := range all {
		for j, high := range all {
			// T. Gurin, GCNA Bulletin 71; Rensselaer: no major triads in the low
			// bells, so no major third under middle C.
			if high-low == 4 && low < 60 && !(i >= len(hands) && j >= len(hands)) {
				t.Errorf("at %s a major third %d-%d", onset, low, high)
			}
			if i != j && high == low {
				t.Errorf("at %s the bell of %d is struck twice", onset, low)
			}
			// "more than two octaves between the hands" is hard (Arts at Michigan).
			if i < len(hands) && j < len(hands) && high-low > 24 {
				t.Errorf("at %s the hands are %d semitones apart", onset, high-low)
			}
		}
	}
}
