package acoustic

import (
	"math"
	"sync"
)

// Harmonicity is how clearly tones suggest one fundamental: about 0.8 bits
// for two bells a semitone apart, 1.5 for an octave.
//
// The model is that of Harrison & Pearce, "An energy-based generative sequence
// model", ISMIR 2018, after Milne 2013. The tones, folded into one octave and
// blurred by the ear, are compared with a harmonic tone at every pitch of the
// octave; the more the likeness is gathered at few pitches, the higher the
// value, which is its Kullback-Leibler divergence from an even spread.
func Harmonicity(sound []Tone) float64 {
	var likeness [octave]float64
	for _, t := range sound {
		for i, l := range template()[octave-cents(t.Hz):][:octave] {
			likeness[i] += t.Amplitude * l
		}
	}
	return divergence(likeness[:])
}

// octave is counted in cents, the grain of the model.
const octave = 1200

// The ear's blur in cents, and the harmonic tone: eleven harmonics, the i-th
// with amplitude 1/i. All three as published by Milne and by Harrison &
// Pearce.
const (
	blur      = 6.83
	harmonics = 11
)

// template is the likeness of one sine tone to a harmonic tone that lies so
// many cents above it. Both are blurred, so that the widths add up. It is
// there twice, for slices that go round.
var template = sync.OnceValue(func() []float64 {
	likeness := make([]float64, 2*octave)
	for i := range likeness {
		for h := 1; h <= harmonics; h++ {
			apart := math.Remainder(float64(i)+octave*math.Log2(float64(h)), octave)
			likeness[i] += math.Exp(-apart*apart/(4*blur*blur)) / float64(h)
		}
	}
	return likeness
})

// cents is the place of a frequency within its octave.
func cents(hz float64) int {
	c := int(math.Round(octave*math.Log2(hz))) % octave
	return (c + octave) % octave
}

// divergence is the Kullback-Leibler divergence in bits of weights, made into
// probabilities, from the uniform distribution.
func divergence(weights []float64) float64 {
	var sum float64
	for _, w := range weights {
		sum += w
	}
	var bits float64
	for _, w := range weights {
		if p := w / sum; p > 0 {
			bits += p * math.Log2(p*float64(len(weights)))
		}
	}
	return bits
}
