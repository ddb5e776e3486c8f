package ringing

import (
	"math"
	"testing"

	"undersong/instrument"
)

// TestAgainst: the beats of two bells are what package instrument finds in
// their roughness together beyond that of each.
func TestAgainst(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	r := Of(tower)
	struck, old := instrument.Stroke{Key: 60, Gain: -3}, instrument.Stroke{Key: 62, Ago: 0.4}
	power := func(s instrument.Stroke) float64 {
		sum := 0.0
		for _, a := range r.amplitudes(s) {
			sum += a * a
		}
		return sum
	}
	both := tower.Roughness(struck, old) * (power(struck) + power(old))
	want := (both - tower.Roughness(struck)*power(struck) - tower.Roughness(old)*power(old)) / power(struck)
	got := r.against([]instrument.Stroke{struck}, []instrument.Stroke{old})
	if math.Abs(got-want) > 1e-9 || want <= 0 {
		t.Errorf("%v, want %v", got, want)
	}
}
