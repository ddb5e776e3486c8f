package voicing

import (
	"fmt"
	"testing"
)

// TestLosses: a line that has both its ends among what is left out is one, notes and
// signs of one name are told apart.
func TestLosses(t *testing.T) {
	r := &Report{Changes: []Change{
		{What: "slur", Type: "start", LeftOut: "x", Index: 2}, {What: "slur", Type: "stop", LeftOut: "x", Index: 1},
		{What: "slur", Type: "stop", LeftOut: "x", Index: 4}, {What: "slur", Type: "start", LeftOut: "y"},
		{What: "wedge", Type: "crescendo", LeftOut: "x"}, {What: "wedge", Type: "stop", LeftOut: "x"},
		{What: "pedal", Type: "change", LeftOut: "x"}, {What: "pedal", Type: "change", LeftOut: "x"},
		{What: "melody", Note: "C4", LeftOut: "x"}, {What: "melody", Note: "C4", To: "C5"},
	}}
	want := "[{hairpin x true 1 [0] 1} {melody x false 1 [0] 0} {pedal x true 1 [0] 0} {slur x true 2 [1 2 4] 2} {slur y true 1 [0] 0}]"
	if got := fmt.Sprint(r.Losses()); got != want {
		t.Errorf("%s, not %s", got, want)
	}
}
