package instrument

import (
	"iter"
	"math"

	"undersong/instrument/acoustic"
)

// Bell is one bell of a tower.
type Bell struct {
	Key      int     `json:"key"`          // MIDI number as written
	Sounds   int     `json:"sounds"`       // MIDI number of the strike note
	Hz       float64 `json:"frequency_hz"` // of the strike note
	Mass     float64 `json:"mass_kg"`
	Diameter float64 `json:"diameter_m"` // at the lip
	// Ring is the time until the strike note is 60 dB weaker.
	Ring     Range              `json:"ring_s"`
	Partials []acoustic.Partial `json:"-"`
}

// Heard is how long after a stroke, in seconds, the strike note is no more than so many
// dB weaker.
func (b Bell) Heard(dB float64) float64 { return b.Ring.Middle() * dB / 60 }

// Bells yields the tower's bells from the lowest to the highest.
func (t *Tower) Bells() iter.Seq[Bell] {
	return func(yield func(Bell) bool) {
		for key := range t.Manual.Keys() {
			if !yield(t.Bell(key)) {
				return
			}
		}
	}
}

// Bell is the bell of a key. For a key that the tower lacks it is the bell
// that would belong there.
func (t *Tower) Bell(key int) Bell {
	b := Bell{Key: key, Sounds: key + t.SoundingOffset()}
	b.Hz = acoustic.Frequency(b.Sounds)
	heavier := t.Casting.heavier(b.Hz)
	b.Mass = t.massConstant() / math.Pow(b.Hz, 3) * heavier
	b.Diameter = diameterLaw / b.Hz * math.Pow(heavier, 0.25)
	b.Ring = t.ring(b.Hz, b.Hz)
	b.Partials = t.Casting.HighPartials
	if b.Sounds <= lastLowPartials {
		b.Partials = t.Casting.LowPartials
	}
	return b
}

// massConstant is mass times frequency cubed, in kg/s^3: the same for all
// large bells of one tower.
func (t *Tower) massConstant() float64 {
	if t.Casting.Bourdon == 0 {
		return massLaw
	}
	hz := acoustic.Frequency(t.Manual.Low() + t.SoundingOffset())
	return t.Casting.Bourdon * math.Pow(hz, 3) / t.Casting.heavier(hz)
}

// massLaw is the usual mass constant. It is fitted to the eight bells up to C5
// in the table of the Wellington National War Memorial Carillon (NZHistory):
// they scatter by 6.6 %, which is their standard deviation, and the farthest,
// F3, is 16 % heavier. The bells of fifteen tower notices have 3.6e10 to
// 4.7e10.
const massLaw = 4.25e10

// diameterLaw is diameter times frequency, in m/s, fitted to the twelve
// bells that the municipality of Saint-Gingolph published in 2019; they miss
// it by 4 % at most. A bell's pitch goes roughly with thickness over diameter
// squared, as a plate's does (Sathoff & Rossing, "Scaling of bells", ASA
// meeting, Ottawa 1993), so that one cast heavier than the cubic law is wider
// by the fourth root.
const diameterLaw = 412

// lastLowPartials is G4. The measured spectra are means of the bells from F4 to
// G4 and of those from F4 to A#5; that all lower and all higher bells are like
// them is our choice.
const lastLowPartials = 67

// heavier is how much heavier than by the cubic law a bell of a frequency is
// cast.
func (c Casting) heavier(hz float64) float64 {
	octaves := max(0, math.Log2(hz/acoustic.Frequency(lawEndsAt)))
	strong := max(0, c.SmallBells-1)
	light := c.SmallBells - 2*strong
	return math.Exp2(light*lightSeries.at(octaves) + strong*heavySeries.at(octaves))
}

// lawEndsAt is C5, above which small bells are cast heavier "to give them
// more power" (W. Hibbert, "Bell weights, sizes and frequencies").
const lawEndsAt = 72

// series is how many times as heavy as by the cubic law a founder's bells are,
// one, two and three octaves above C5.
type series [3]float64

// lightSeries is fitted to the 40 bells of the Wellington table, which end at
// G#7, with a largest error of 19 %; heavySeries to the twelve of
// Saint-Gingolph, which end at E7, with one of 6 %. What lies above continues
// the line.
var (
	lightSeries = series{1.74, 1.62, 3.9}
	heavySeries = series{1.74, 4.5, 26}
)

// at is the binary logarithm of the factor so many octaves above C5.
func (s series) at(octaves float64) float64 {
	i := min(int(octaves), len(s)-1)
	above := math.Log2(s[i])
	below := 0.0
	if i > 0 {
		below = math.Log2(s[i-1])
	}
	return below + (above-below)*(octaves-float64(i))
}
