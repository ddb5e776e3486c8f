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
	now, then := Stroke{Key: 60, At: 1.4, Gain: -3}, Stroke{Key: 62, At: 1}
	power := func(s Stroke) float64 {
		sum := 0.0
		for _, a := range r.amplitudes(nil, s, now.At) {
			sum += a * a
		}
		return sum
	}
	both := tower.Roughness(struck, old) * (power(now) + power(then))
	want := (both - tower.Roughness(struck)*power(now) - tower.Roughness(old)*power(then)) / power(now)
	got := r.against([]Stroke{now}, []Stroke{then})
	if math.Abs(got-want) > 1e-9 || want <= 0 {
		t.Errorf("%v, want %v", got, want)
	}
}
