package melody

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score/scoretest"
)

// A reader misses a found melody that rests for long over an accompaniment, and no
// other.
func TestMissing(t *testing.T) {
	s := scoretest.Score(t, "../../examples/nets-in-the-loft/nets-in-the-loft.musicxml")
	tones := s.Tones()
	for _, test := range []struct {
		name   string
		silent int // measures from the start
		told   int // likewise
		want   []Measures
	}{
		{"it is everywhere", 0, 0, nil},
		{"a short rest", 3, 0, nil},
		{"a long rest", 4, 0, []Measures{{0, 3}}},
		{"a longer one", 6, 0, []Measures{{0, 5}}},
		{"a line that the score tells", 6, s.MeasureCount(), nil},
		{"one that the user tells in part", 6, 2, []Measures{{2, 5}}},
		{"one that the user tells for most of it", 6, 3, nil},
	} {
		l := Line{Told: make([]bool, s.MeasureCount())}
		for m := range test.told {
			l.Told[m] = true
		}
		for _, i := range Find(s, tones, Options{}).Tones {
			if tones[i].Pieces[0].Measure >= test.silent {
				l.Tones = append(l.Tones, i)
			}
		}
		if diff := cmp.Diff(test.want, l.Missing(s, tones)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}
