// Package acoustic says how bells sound together: the frequency of a strike
// note, the roughness and the harmonicity of what sounds at once, and how
// pleasant listeners would call it.
//
// Every model is a published one and is named at its function. The package
// knows sine tones only: which bell has which partials, and how long they
// ring, is for package instrument. It makes no sound.
package acoustic

import "math"

// Partial is one tone of a bell: its frequency as a ratio to the strike note
// and its amplitude where the prime has 1.
type Partial struct {
	Ratio, Amplitude float64
}

// Tone is one sine tone. The unit of its amplitude is free, as long as the
// tones heard together share it.
type Tone struct {
	Hz, Amplitude float64
}

// Frequency is the equal-tempered frequency in Hz of a MIDI note number, with
// A4 (69) at 440 Hz as ISO 16 sets it.
func Frequency(midi int) float64 {
	return 440 * math.Exp2(float64(midi-69)/12)
}

// Pleasantness is how pleasant listeners call what sounds together, in
// standard deviations of their ratings: 0 is their average over all intervals
// up to 15 semitones on bells; above F#4 an octave comes out about +0.8, a
// semitone about -1.
//
// It is a regression on [Roughness] and [Harmonicity], as in Harrison &
// MacConnachie, "Consonance in the carillon", JASA 156(2), 2024, doi
// 10.1121/10.0028167. The three weights are our fit to the ratings and spectra
// published with that paper, taken every quarter of a semitone; there it
// explains 80 % of the variance.
func Pleasantness(sound []Tone) float64 {
	return -0.54 - 2.2*Roughness(sound) + 1.03*Harmonicity(sound)
}
