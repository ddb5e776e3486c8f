package acoustic

import (
	"math"
	"testing"
)

// TestFrequency: equal temperament from A4 = 440 Hz (ISO 16); the others are
// powers of the twelfth root of two, rounded.
func TestFrequency(t *testing.T) {
	tests := []struct {
		midi int
		hz   float64
	}{{69, 440}, {57, 220}, {81, 880}, {60, 261.6256}, {48, 130.8128}, {96, 2093.0045}, {108, 4186.0090}}
	for _, tt := range tests {
		if got := Frequency(tt.midi); math.Abs(got-tt.hz) > 1e-4 {
			t.Errorf("MIDI %d has %v Hz, want %v", tt.midi, got, tt.hz)
		}
	}
}

// The spectra, as ratio and amplitude, for which Harrison & MacConnachie
// publish what the two models give (data of JASA 156(2) 2024, doi
// 10.1121/10.0028167): of the lower bell of a pair, at F#4, and of the upper.
var (
	lower = []Partial{
		{0.497, 1.398}, {1, 1}, {1.194, 1.285}, {1.5, 0.175}, {1.992, 0.348}, {2.588, 0.268},
		{2.986, 0.347}, {3.296, 0.232}, {4.129, 0.232}, {5.381, 0.185}, {6.721, 0.091},
	}
	upper = []Partial{
		{0.498, 1.281}, {1, 1}, {1.196, 0.975}, {1.494, 0.243}, {1.994, 0.426}, {2.499, 0.127},
		{2.595, 0.13}, {2.967, 0.32}, {3.31, 0.117}, {4.072, 0.211}, {5.313, 0.099}, {6.639, 0.019},
	}
)

func pair(semitones float64) []Tone {
	var sound []Tone
	for _, p := range lower {
		sound = append(sound, Tone{Frequency(66) * p.Ratio, p.Amplitude})
	}
	for _, p := range upper {
		sound = append(sound, Tone{Frequency(66) * math.Exp2(semitones/12) * p.Ratio, p.Amplitude})
	}
	return sound
}

// TestPublishedValues: the published values come from spectra with more
// digits than the published spectra have, so that these miss them by up to
// three parts in a hundred.
func TestPublishedValues(t *testing.T) {
	tests := []struct{ semitones, roughness, harmonicity float64 }{
		{0.1, 0.10559, 1.38582},
		{0.25, 0.21631, 1.08522},
		{0.3, 0.25907, 1.01448},
		{0.4, 0.34224, 0.94613},
		{0.5, 0.41530, 0.95153},
	}
	for _, tt := range tests {
		r, h := Roughness(pair(tt.semitones)), Harmonicity(pair(tt.semitones))
		if math.Abs(r/tt.roughness-1) > 0.03 || math.Abs(h/tt.harmonicity-1) > 0.03 {
			t.Errorf("%v semitones: roughness %.4f, harmonicity %.4f; published %.4f, %.4f",
				tt.semitones, r, h, tt.roughness, tt.harmonicity)
		}
	}
}

func TestInterference(t *testing.T) {
	const f = 500
	at := func(bandwidths float64) float64 {
		g := f + bandwidths*1.72*math.Pow(f, 0.65)
		return Interference(f, g)
	}
	if Interference(f, f) != 0 || at(1.5) != 0 {
		t.Error("equal tones, or tones far apart, interfere")
	}
	if peak := at(0.25); peak < 0.98 || peak < at(0.15) || peak < at(0.4) {
		t.Errorf("at a quarter of a critical bandwidth there is %v", peak)
	}
}

func TestNoUnits(t *testing.T) {
	louder := pair(4)
	for i := range louder {
		louder[i].Amplitude *= 30
	}
	if a, b := Roughness(pair(4)), Roughness(louder); math.Abs(a-b) > 1e-12 {
		t.Errorf("roughness %v becomes %v when all is louder", a, b)
	}
	if a, b := Harmonicity(pair(4)), Harmonicity(louder); math.Abs(a-b) > 1e-12 {
		t.Errorf("harmonicity %v becomes %v when all is louder", a, b)
	}
}

func TestSilence(t *testing.T) {
	for _, sound := range [][]Tone{nil, {{440, 0}}} {
		if r, h := Roughness(sound), Harmonicity(sound); r != 0 || h != 0 {
			t.Errorf("%v: roughness %v, harmonicity %v", sound, r, h)
		}
	}
}

func BenchmarkPleasantness(b *testing.B) {
	sound := pair(3)
	for b.Loop() {
		Pleasantness(sound)
	}
}
