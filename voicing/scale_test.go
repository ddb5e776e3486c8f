package voicing

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/instrument"
	"undersong/voicing/melody"
)

// TestScale: what each cost of the scale is for, by hand.
func TestScale(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	a := &arrangement{tower: tower}
	// over is so many measures in which the melody stands clear when it is struck so
	// many marks louder than the rest.
	over := func(measures int, marks float64, in *levelStretch) []held {
		power := math.Pow(10, (melody.StandsClear-marks*tower.Dynamics)/10)
		return slices.Repeat([]held{{in: in, powers: []powers{{melody: power, under: 1}}}}, measures)
	}
	near, far := &levelStretch{way: &way{}, apart: apart{1, 1}}, &levelStretch{way: &way{}, apart: apart{4, 4}}
	for _, c := range []struct {
		name string
		by   map[string][]held
		want scale
	}{
		// The rest is marked pp, no softer: the melody is p to be another line at all.
		{"parted, though it is clear", map[string][]held{"pp": over(1, -5, near)}, scale{"pp": 1}},
		// Over a rest at pp each of three marks more is a mark less short, which is worth
		// 1 and costs 0.11, 0.33, 0.55; with a fourth the rest would follow.
		{"nearer to clear, if not clear", map[string][]held{"p": over(1, 9, far)}, scale{"p": 3}},
		// mp needs one mark more, which mf has: it gets another, so that they differ.
		{"what is louder stays so", map[string][]held{"p": over(1, -5, far), "mp": over(1, 2.5, far), "mf": over(1, -5, far)},
			scale{"p": 0, "mp": 1, "mf": 1}},
		// For p alone it is 3; to be as loud as p would be nearer for 200 measures of mp.
		{"the softest stays the softest", map[string][]held{"p": over(20, 9, far), "mp": over(200, -5, far)}, scale{"p": 3, "mp": 3}},
	} {
		if diff := cmp.Diff(c.want, a.scaleFor(c.by)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}
