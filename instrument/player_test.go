package instrument

import (
	"testing"
)

// TestReach: two notes of a hand are no wider than a perfect fourth (Gouwens,
// "Playing the Carillon", App. B); feet beyond a tenth and hands beyond two
// octaves are hard, and so are quick leaps of an octave (Arts at Michigan,
// "Arranging for the Carillon", 2022). Both keyboards are meant.
func TestReach(t *testing.T) {
	for _, name := range []string{"47", "47-short"} {
		p := named(t, name).Player
		tests := []struct {
			what          string
			within, limit float64
			want          bool
		}{
			{"a fourth in a hand", p.ManualDistance(60, 65), p.HandReach, true},
			{"a tritone in a hand", p.ManualDistance(60, 66), p.HandReach, false},
			{"a tritone of white keys in a hand", p.ManualDistance(65, 71), p.HandReach, true},
			{"a tenth between the feet", p.PedalDistance(48, 64), p.FeetReach, true},
			{"an eleventh between the feet", p.PedalDistance(48, 65), p.FeetReach, false},
			{"two octaves between the hands", p.ManualDistance(60, 84), p.HandsReach, true},
			{"two octaves and a third between the hands", p.ManualDistance(60, 88), p.HandsReach, false},
			{"a leap of a major seventh", p.ManualDistance(60, 71), p.HandLeap, true},
			{"a leap of an octave", p.ManualDistance(60, 72), p.HandLeap, false},
		}
		for _, tt := range tests {
			if got := tt.within <= tt.limit; got != tt.want {
				t.Errorf("%s: %s is %.0f mm, the limit %.0f", name, tt.what, tt.within, tt.limit)
			}
		}
		// City of Mechelen; Karlskirche Kassel.
		if p.Notes != 6 || p.FootNotes != 1 || p.HandNotes != 1 || p.SlowHandNotes != 2 {
			t.Errorf("%s: %d notes, %d a foot, %d a hand, %d slowly", name, p.Notes, p.FootNotes, p.HandNotes, p.SlowHandNotes)
		}
	}
}

// TestSpeed: "low bells cannot be repeated fast" (Gouwens, App. B), farther
// keys take longer, and feet are slower than hands.
func TestSpeed(t *testing.T) {
	tower := named(t, Default)
	if heavy, light := tower.RepeatTime(48), tower.RepeatTime(96); heavy < 1.5*light {
		t.Errorf("the heaviest bell repeats in %.2f s, the lightest in %.2f", heavy, light)
	}
	if got := tower.HandTime(48, 48); got != tower.RepeatTime(48) {
		t.Errorf("a hand repeats the lowest bell in %.2f s, the bell in %.2f", got, tower.RepeatTime(48))
	}
	for key := 53; key < 72; key++ {
		if near, far := tower.HandTime(52, key), tower.HandTime(52, key+1); near >= far {
			t.Errorf("a hand needs %.3f s to key %d and %.3f to the next", near, key, far)
		}
		if hand, foot := tower.HandTime(52, key), tower.FootTime(52, key); hand >= foot {
			t.Errorf("to key %d a hand needs %.3f s, a foot %.3f", key, hand, foot)
		}
	}
}
