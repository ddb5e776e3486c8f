package acoustic

import "math"

// Roughness is the interference between tones that are too close to be heard
// apart: 0 for a single tone, about 0.6 for two bells a semitone apart.
//
// The model is that of Hutchinson & Knopoff, "The acoustic component of
// Western consonance", Interface 7, 1978: every pair of tones adds the product
// of its amplitudes, weighted by a curve over its distance in critical
// bandwidths; the sum is divided by the power of all tones. The curve is the
// formula that Mashinter fitted to their graph (Empirical Musicology Review
// 1(2), 2006).
func Roughness(sound []Tone) float64 {
	var pairs, power float64
	for i, a := range sound {
		power += a.Amplitude * a.Amplitude
		for _, b := range sound[:i] {
			pairs += a.Amplitude * b.Amplitude * Interference(a.Hz, b.Hz)
		}
	}
	if power == 0 {
		return 0
	}
	return pairs / power
}

// Interference is how much two tones, of so many Hz, interfere by the curve of
// [Roughness]: 1 a quarter of a critical bandwidth apart, where it is most, and 0 for
// equal ones and beyond 1.2 bandwidths.
func Interference(f, g float64) float64 {
	middle, apart := (f+g)/2, math.Abs(f-g)
	if middle >= 100 && apart > 0.42*middle {
		return 0 // beyond 1.2 bandwidths, which from 100 Hz on are at most 0.412 of their middle
	}
	y := apart / (1.72 * math.Pow(middle, 0.65))
	if y > 1.2 {
		return 0
	}
	curve := 4 * y * math.Exp(1-4*y)
	return curve * curve
}
