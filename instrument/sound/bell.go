package sound

import (
	"math"

	"undersong/instrument"
)

// tone is one partial of a bell as it is heard: what a stroke of the bell at
// mf begins it with, and how it turns and shrinks from sample to sample.
type tone struct {
	hz        float64
	seconds   float64 // until it is 60 dB weaker
	amplitude float64 // times that of a tone of 0 dB
	turn      float64 // radians a sample
	shrink    float64 // natural logarithm of the factor a sample
}

// after is the factor of so many samples.
func (t *tone) after(samples int) complex128 {
	n := float64(samples)
	sin, cos := math.Sincos(math.Mod(t.turn*n, 2*math.Pi))
	size := math.Exp(t.shrink * n)
	return complex(size*cos, size*sin)
}

// tonesOf are the tones of a bell at a place: its partials and its strike
// noise, those too high for the sample rate left out.
func tonesOf(t *instrument.Tower, key int, p Place, rate int) []tone {
	b := t.Bell(key)
	power := 0.0
	for _, x := range b.Partials {
		power += x.Amplitude * x.Amplitude
	}
	all := level(t, key, 0)
	var tones []tone
	add := func(hz, seconds, db float64) {
		if hz > highest*float64(rate) {
			return
		}
		tones = append(tones, tone{
			hz: hz, seconds: seconds, amplitude: math.Pow(10, (db-p.Loss(hz))/20),
			turn: 2 * math.Pi * hz / float64(rate), shrink: -3 * math.Ln10 / (seconds * float64(rate)),
		})
	}
	for _, x := range b.Partials {
		if x.Amplitude == 0 {
			continue
		}
		// As the tower's model has it: the higher a partial, the sooner gone.
		add(b.Hz*x.Ratio, b.Ring.Middle()/x.Ratio, all+10*math.Log10(x.Amplitude*x.Amplitude/power))
	}
	for _, hz := range noiseTones {
		add(hz, noiseSeconds, all+noiseLevel-10*math.Log10(float64(len(noiseTones))))
	}
	return tones
}

// Partial is a tone of a bell as it is heard at a place: a sine that begins at
// rest and dies away.
type Partial struct {
	Hz      float64
	Seconds float64 // until it is 60 dB weaker
	Level   float64 // dB above 20 µPa, of a stroke at mf
}

// Partials are the tones of a key's bell, and of its clapper's knock, that a
// [Recording] at a place is made of.
func Partials(t *instrument.Tower, key int, p Place) []Partial {
	var all []Partial
	for _, x := range tonesOf(t, key, p, Rate) {
		all = append(all, Partial{x.hz, x.seconds, 20 * math.Log10(x.amplitude)})
	}
	return all
}

// highest is the highest tone as a part of the sample rate: near half of it a
// player's filter ends.
const highest = 0.45

// The clapper's knock is eight short tones without a common fundamental,
// together 15 dB under the bell and gone, to 60 dB, after 0.08 s. Our choice, no
// source.
var noiseTones = []float64{1130, 1490, 1910, 2570, 3170, 3830, 4710, 5870}

const (
	noiseLevel   = -15.0 // dB
	noiseSeconds = 0.08
)

// heard is the level in dB of a stroke at the place where the tones are as
// they reach it: of all partials together, and of the loudest.
func heard(tones []tone, gain float64) (all, loudest float64) {
	power, most := 0.0, 0.0
	for _, t := range tones {
		p := t.amplitude * t.amplitude
		power += p
		most = max(most, p)
	}
	return 10*math.Log10(power) + gain, 10*math.Log10(most) + gain
}

// ringing is a bell that was struck.
type ringing struct {
	tones []tone
	state []complex128 // of each tone now; its real part is what sounds
	whole []complex128 // factor of a whole block
}

func newRinging(tones []tone) *ringing {
	r := &ringing{tones: tones, state: make([]complex128, len(tones)), whole: make([]complex128, len(tones))}
	for i := range tones {
		r.whole[i] = tones[i].after(blockSize)
	}
	return r
}

// strike adds a stroke. Every tone begins at rest, as a struck thing does.
func (r *ringing) strike(factor float64) {
	for i := range r.tones {
		r.state[i] -= complex(0, r.tones[i].amplitude*factor)
	}
}

// advance lets the bell ring for so many samples. Tones fainter than quiet are
// ended. It tells whether any are left.
func (r *ringing) advance(samples int, quiet float64) bool {
	rings := false
	for i, z := range r.state {
		if z == 0 {
			continue
		}
		if samples == blockSize {
			z *= r.whole[i]
		} else {
			z *= r.tones[i].after(samples)
		}
		if math.Abs(real(z))+math.Abs(imag(z)) < quiet {
			z = 0
		}
		r.state[i] = z
		rings = rings || z != 0
	}
	return rings
}

// power is the mean square of what sounds.
func (r *ringing) power() float64 {
	sum := 0.0
	for _, z := range r.state {
		sum += real(z)*real(z) + imag(z)*imag(z)
	}
	return sum / 2
}
