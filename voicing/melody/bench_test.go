package melody

import (
	"testing"

	"undersong/score"
)

// BenchmarkFind finds the melody of about what a 500 kB file holds.
func BenchmarkFind(b *testing.B) {
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 2}}}
	for range 8 {
		for _, o := range openings(b) {
			s.Parts[0].Measures = append(s.Parts[0].Measures, o.score.Parts[0].Measures...)
		}
	}
	tones := s.Tones()
	for b.Loop() {
		Find(s, tones, Options{})
	}
	b.ReportMetric(float64(len(tones)), "tones")
}
