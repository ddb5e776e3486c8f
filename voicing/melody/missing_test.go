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
		name         string
		silent, sure int
		want         []Measures
	}{
		{"it is everywhere", 0, 80, nil},
		{"a short rest", 3, 80, nil},
		{"a long rest", 4, 80, []Measures{{0, 3}}},
		{"a longer one", 6, 80, []Measures{{0, 5}}},
		{"a line that the score sets apart", 6, 100, nil},
	} {
		var l Line
		for _, i := range Find(s, tones, Options{}).Tones {
			if tones[i].Pieces[0].Measure >= test.silent {
				l.Tones = append(l.Tones, i)
			}
		}
		l.Phrases = []Phrase{{Last: len(l.Tones), Sure: test.sure}}
		if diff := cmp.Diff(test.want, l.Missing(s, tones)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}
