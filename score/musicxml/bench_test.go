package musicxml

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undersong/score"
)

// sizes are those of the scores that are measured.
var sizes = []struct {
	name  string
	bytes int
}{{"50kB", 50e3}, {"500kB", 500e3}, {"5MB", 5e6}, {"50MB", 50e6}}

// long is a score of at least so many bytes: the measures of a small one of
// two staves with four voices, again and again.
func long(t testing.TB, size int) []byte {
	t.Helper()
	text, err := os.ReadFile(roundtrip + "/voices-four.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	head, rest, _ := strings.Cut(string(text), "    <measure ")
	last := strings.LastIndex(rest, "    <measure ")
	again, tail := rest[:last], rest[last:]
	var out bytes.Buffer
	out.WriteString(head)
	for out.Len() < size {
		out.WriteString("    <measure ")
		out.WriteString(again)
	}
	out.WriteString(tail)
	return out.Bytes()
}

// higher is s an octave higher, all measures new.
func higher(s *score.Score) *score.Score {
	s = anew(s)
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			m.Notes = append([]score.Note{}, m.Notes...)
			for i := range m.Notes {
				m.Notes[i].Pitch = m.Notes[i].Pitch.Octaves(1)
			}
		}
	}
	return s
}

func BenchmarkRead(b *testing.B) {
	bench(b, func(*Document) error { return nil })
}

// BenchmarkOctave reads a score, moves every note by an octave and writes
// it: all measures are engraved anew.
func BenchmarkOctave(b *testing.B) {
	bench(b, func(d *Document) error { return d.Write(io.Discard, higher(d.Score())) })
}

func bench(b *testing.B, then func(*Document) error) {
	for _, size := range sizes {
		b.Run(size.name, func(b *testing.B) {
			if size.bytes > 5e6 && testing.Short() {
				b.Skip("SKIPPED: long, -short is set")
			}
			text := long(b, size.bytes)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				doc, err := Read(bytes.NewReader(text), "long", Limits{})
				if err != nil {
					b.Fatal(err)
				}
				if err := then(doc); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestLong: the scores of the benchmarks are sound.
func TestLong(t *testing.T) {
	const size = 50e3
	path := filepath.Join(t.TempDir(), "long.musicxml")
	if err := os.WriteFile(path, long(t, size), 0o644); err != nil {
		t.Fatal(err)
	}
	s := readFile(t, path).Score()
	if s.MeasureCount() < 10 || len(s.Tones()) < 100 {
		t.Errorf("%d measures, %d tones", s.MeasureCount(), len(s.Tones()))
	}
}
