package sound_test

import (
	"io"
	"math/rand/v2"
	"testing"

	"undersong/instrument"
	"undersong/instrument/sound"
)

// busy is a piece of so many minutes with eight strokes a second all over the
// keyboard, half of them in its lower half: denser than carillon music is.
func busy(t testing.TB, minutes int) *sound.Recording {
	t.Helper()
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	r := &sound.Recording{Tower: tower, Place: sound.Place{Metres: sound.PlayersPlace, Air: sound.CoolAir}}
	dice := rand.New(rand.NewPCG(1, 2))
	for i := range 60 * minutes * 8 {
		r.Strokes = append(r.Strokes, sound.Stroke{Seconds: float64(i) / 8, Key: 52 + dice.IntN(45)})
	}
	return r
}

// BenchmarkWriteWAV: one run is a minute of music and its last ring.
func BenchmarkWriteWAV(b *testing.B) {
	r := busy(b, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.WriteWAV(b.Context(), io.Discard, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWriteWAV5(b *testing.B) {
	r := busy(b, 5)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.WriteWAV(b.Context(), io.Discard, nil); err != nil {
			b.Fatal(err)
		}
	}
}
