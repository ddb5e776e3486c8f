package playing

import (
	"math"
	"slices"
	"testing"
)

// TestGraces: grace notes are struck one after the other before what they lead to, those of
// a chord together, and take half of the time there is at most.
func TestGraces(t *testing.T) {
	for _, c := range []struct {
		name   string
		before float64
		joins  []bool
		want   []float64
	}{
		{"none", 1, nil, nil},
		{"one", 1, []bool{false}, []float64{1.85}},
		{"two", 1, []bool{false, false}, []float64{1.7, 1.85}},
		{"a chord", 1, []bool{false, true}, []float64{1.85, 1.85}},
		{"a chord whose first note is gone", 1, []bool{true, false}, []float64{1.7, 1.85}},
		{"soon after a stroke", 1.8, []bool{false, false}, []float64{1.9, 1.95}},
		{"a chord soon after a stroke", 1.8, []bool{false, true}, []float64{1.9, 1.9}},
		{"before all", math.Inf(-1), []bool{false, true, false}, []float64{1.7, 1.7, 1.85}},
	} {
		near := func(x, y float64) bool { return math.Abs(x-y) < 1e-9 }
		if got := Graces(c.before, 2, c.joins); !slices.EqualFunc(got, c.want, near) {
			t.Errorf("%s: %.2f, want %.2f", c.name, got, c.want)
		}
	}
}
