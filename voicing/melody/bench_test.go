package melody

import (
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

// BenchmarkFind finds the melody of more than a file of 500 kB holds: 2000 notes and
// over.
func BenchmarkFind(b *testing.B) {
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 2}}}
	var tones []score.Tone
	for len(tones) < 2000 {
		for _, o := range scoretest.Openings(b, "openings.txt") {
			s.Parts[0].Measures = append(s.Parts[0].Measures, o.Score.Parts[0].Measures...)
		}
		tones = s.Tones()
	}
	Find(s, tones, Options{}) // reads the weights
	for b.Loop() {
		Find(s, tones, Options{})
	}
	b.ReportMetric(float64(len(tones)), "tones")
}
