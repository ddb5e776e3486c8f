package harmony

import (
	"fmt"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

// longer is a score so many times over, without its chord symbols.
func longer(s *score.Score, times int) *score.Score {
	p := *s.Parts[0]
	p.Measures = nil
	for range times {
		p.Measures = append(p.Measures, s.Parts[0].Measures...)
	}
	return &score.Score{Parts: []*score.Part{&p}}
}

// BenchmarkFind: its time grows with the length of the piece. Compare with
// BenchmarkRead, which reads the same piece, of some 340 kB, once.
func BenchmarkFind(b *testing.B) {
	s := withoutSymbols(b, lamp)
	for _, times := range []int{1, 4, 16} {
		piece := longer(s, times)
		tones := piece.Tones()
		b.Run(fmt.Sprint(times), func(b *testing.B) {
			for b.Loop() {
				Find(piece, tones, nil)
			}
		})
	}
}

func BenchmarkLocalKeys(b *testing.B) {
	s := withoutSymbols(b, lamp)
	tones := s.Tones()
	for b.Loop() {
		LocalKeys(s, tones, nil, Key{})
	}
}

func BenchmarkRead(b *testing.B) {
	for b.Loop() {
		scoretest.Score(b, lamp)
	}
}
