package check

import (
	"strings"
	"testing"

	"undersong/instrument"
)

// BenchmarkScore checks about what a 500 kB file holds: 400 measures.
func BenchmarkScore(b *testing.B) {
	s := sheet(b, 90, 2, strings.Repeat("C5+E5 G5 C5+F5 A5 D5+F5 B5 C6 G5 ", 400), strings.Repeat("C3 . F3 . G3 . C4 . ", 400))
	tower, err := instrument.Named("61")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Score(s, Options{Tower: tower}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(s.Tones())), "tones")
}
