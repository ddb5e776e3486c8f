package harmony

import (
	"path/filepath"
	"testing"
)

func BenchmarkFind(b *testing.B) {
	s := read(b, filepath.Join("..", "..", "examples", "lamp-for-the-late-boat", "lamp-for-the-late-boat.musicxml"))
	for i := range s.Parts[0].Measures {
		s.Parts[0].Measures[i].Chords = nil
	}
	tones := s.Tones()
	for b.Loop() {
		Find(s, tones, nil)
	}
}
