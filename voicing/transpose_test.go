package voicing

import (
	"fmt"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/voicing/melody"
)

// TestKeyWorthLeaving: a bell that is struck again a hair too soon, and the next higher
// one would not be: a short tune goes up for that, a long one stays in its key.
func TestKeyWorthLeaving(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	quick := int(10_000 * (tower.RepeatTime(55) + tower.RepeatTime(56)) / 2) // between the two
	for _, c := range []struct{ times, want int }{{2, 1}, {70, 0}} {         // 24 and 840 notes
		steps := strings.Repeat("69 71 72 71 69 67 ", c.times)
		s := tuneAt(t, 60, steps+fmt.Sprintf("67:%d/10000 67:%d/10000 ", quick, 20_000-quick)+steps)
		tones := s.Tones()
		line := melody.Find(s, tones, melody.Options{})
		if got := Place(s, tones, line, tower, Inverted, TransposeAuto).Transpose; got != c.want {
			t.Errorf("%d notes go %d semitones away, want %d", len(tones), got, c.want)
		}
	}
}
