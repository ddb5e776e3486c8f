package instrument

import (
	"math"
	"slices"

	"undersong/instrument/acoustic"
)

// Dynamic is a dynamic mark, counted in marks above mf.
type Dynamic int

// ParseDynamic reads a mark from "ppp" to "fff". It knows no others.
func ParseDynamic(mark string) (d Dynamic, ok bool) {
	i := slices.Index([]string{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"}, mark)
	return Dynamic(i - 4), i >= 0
}

// Level is the loudness of a stroke in dB, where the lowest bell at mf has 0.
//
// A clapper weighs about a fortieth of its bell (Peace Tower facts; Knight
// 1854), so at one touch the energy of a stroke goes with the mass of the
// bell; that all of them turn the same part of it into sound is our
// simplification. How the ear hears low and high is left out.
func (t *Tower) Level(key int, d Dynamic) float64 {
	lowest := t.Bell(t.Manual.Low()).Mass
	return 10*math.Log10(t.Bell(key).Mass/lowest) + t.Dynamics*float64(d)
}

// Stroke is one stroke of a bell that is heard together with others.
type Stroke struct {
	Key int
	// Ago is the time in seconds since the stroke: the bell still rings.
	Ago float64
	// Gain is how much louder than the others it was struck, in dB.
	Gain float64
}

// Roughness is the [acoustic.Roughness] of bells ringing together. Without
// Ago and Gain all are struck at once and equally loud at the ear. Of two
// strokes of one bell the later counts.
func (t *Tower) Roughness(strokes ...Stroke) float64 {
	return acoustic.Roughness(t.sound(strokes))
}

// Pleasantness is the [acoustic.Pleasantness] of bells ringing together, as
// in [Tower.Roughness]. What a bell that still rings takes away from a new
// one is the difference that its stroke makes.
func (t *Tower) Pleasantness(strokes ...Stroke) float64 {
	return acoustic.Pleasantness(t.sound(strokes))
}

// sound is all partials of the bells that were struck, as loud as they are
// now.
func (t *Tower) sound(strokes []Stroke) []acoustic.Tone {
	var tones []acoustic.Tone
	for _, s := range lastOfEachBell(strokes) {
		bell := t.Bell(s.Key)
		for _, p := range bell.Partials {
			hz := bell.Hz * p.Ratio
			decay := 0.0
			if s.Ago != 0 {
				decay = 60 * s.Ago / t.ring(bell.Hz, hz).Middle()
			}
			tones = append(tones, acoustic.Tone{
				Hz:        hz,
				Amplitude: p.Amplitude * math.Pow(10, (s.Gain-decay)/20),
			})
		}
	}
	return tones
}

// lastOfEachBell keeps the latest stroke of every key.
func lastOfEachBell(strokes []Stroke) []Stroke {
	last := make([]Stroke, 0, len(strokes))
	for _, s := range strokes {
		i := slices.IndexFunc(last, func(o Stroke) bool { return o.Key == s.Key })
		switch {
		case i < 0:
			last = append(last, s)
		case s.Ago < last[i].Ago:
			last[i] = s
		}
	}
	return last
}
