// Package ringing tells how strongly the bells of a tower that still ring beat
// against those that are struck: nothing damps a bell.
package ringing

import (
	"math"
	"slices"

	"undersong/instrument"
	"undersong/instrument/acoustic"
)

// Bells are those of one tower; what two of them have to do with each other is
// worked out once.
type Bells struct {
	tower  *instrument.Tower
	sounds [128]*sound
	pairs  map[[2]int][]float64 // interference of the partials of two bells
}

// Past is the last stroke of each bell that may still ring, by key; Ago holds the
// time of the stroke.
type Past map[int]instrument.Stroke

// sound is a bell's partials.
type sound struct {
	hz, amplitude []float64
	decay         []float64 // in dB a second
	heard         float64   // s until it is heardFor weaker
}

// Muddy is how strongly, in the middle of a measure's strokes, what still rings
// may beat against what is struck: where it is as much as the stroke itself, the
// line is muddy. The figure is the project's own.
const Muddy = 1.0

// heardFor is how much weaker than when it was struck, in dB, a bell still
// counts as ringing: the project's own figure, as where voicings are chosen.
const heardFor = 20.0

// Of are the bells of a tower.
func Of(t *instrument.Tower) *Bells {
	return &Bells{tower: t, pairs: map[[2]int][]float64{}}
}

// Strike strikes bells at a time in seconds, which are past from then on. It says
// how strongly what still rang of others beats against them, where 1 is as much
// interference as there is stroke, and how many bells did ring.
func (r *Bells) Strike(past Past, at float64, struck []instrument.Stroke) (beats float64, others int) {
	for _, s := range struck {
		delete(past, s.Key)
	}
	ringing := r.sounding(past, at)
	beats = r.against(struck, ringing)
	for _, s := range struck {
		s.Ago = at
		past[s.Key] = s
	}
	return beats, len(ringing)
}

// sounding are the bells that ring at a time, the lowest first. Those that do
// not are forgotten.
func (r *Bells) sounding(past Past, now float64) []instrument.Stroke {
	var all []instrument.Stroke
	for key, s := range past {
		s.Ago = now - s.Ago
		if s.Ago > r.sound(key).heard {
			delete(past, key)
			continue
		}
		all = append(all, s)
	}
	slices.SortFunc(all, func(x, y instrument.Stroke) int { return x.Key - y.Key })
	return all
}

func (r *Bells) sound(key int) *sound {
	if r.sounds[key] == nil {
		b := r.tower.Bell(key)
		s := &sound{heard: b.Ring.Middle() * heardFor / 60}
		for _, p := range b.Partials {
			s.hz = append(s.hz, b.Hz*p.Ratio)
			s.amplitude = append(s.amplitude, p.Amplitude)
			s.decay = append(s.decay, 60*p.Ratio/b.Ring.Middle()) // partials ring as much shorter as they are higher
		}
		r.sounds[key] = s
	}
	return r.sounds[key]
}

// between is the interference of each partial of one bell with each of
// another.
func (r *Bells) between(a, b int) []float64 {
	table, known := r.pairs[[2]int{a, b}]
	if !known {
		for _, f := range r.sound(a).hz {
			for _, g := range r.sound(b).hz {
				// Roughness divides by the power of both, which is 2.
				table = append(table, 2*acoustic.Roughness([]acoustic.Tone{{Hz: f, Amplitude: 1}, {Hz: g, Amplitude: 1}}))
			}
		}
		r.pairs[[2]int{a, b}] = table
	}
	return table
}

// against is how strongly ringing bells beat against others: over all pairs of
// partials the product of the amplitudes, weighted by how much the ear hears
// them interfere, divided by the power of the struck ones. It is the part of
// their roughness (Hutchinson & Knopoff 1978) that the ringing bring, measured
// by the new stroke: 1 is as much interference as there is stroke.
func (r *Bells) against(struck, ringing []instrument.Stroke) float64 {
	beats, power := 0.0, 0.0
	for _, s := range struck {
		now := r.amplitudes(s)
		for _, a := range now {
			power += a * a
		}
		for _, old := range ringing {
			beats += product(now, r.amplitudes(old), r.between(s.Key, old.Key))
		}
	}
	if power == 0 {
		return 0
	}
	return beats / power
}

// amplitudes are those of a bell's partials now.
func (r *Bells) amplitudes(s instrument.Stroke) []float64 {
	bell := r.sound(s.Key)
	now := make([]float64, len(bell.amplitude))
	for i, a := range bell.amplitude {
		now[i] = a * math.Pow(10, (s.Gain-bell.decay[i]*s.Ago)/20)
	}
	return now
}

func product(a, b, table []float64) float64 {
	sum := 0.0
	for i, x := range a {
		row := table[i*len(b):][:len(b)]
		for j, y := range b {
			sum += x * y * row[j]
		}
	}
	return sum
}
