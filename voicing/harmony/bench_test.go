package harmony

import "testing"

func BenchmarkFind(b *testing.B) {
	s := withoutSymbols(b, lamp)
	tones := s.Tones()
	for b.Loop() {
		Find(s, tones, nil)
	}
}
