// Package ringing tells how strongly the bells of a tower that still ring beat
// against those that are struck: nothing damps a bell.
package ringing

import (
	"cmp"
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
	pairs  [128][128]*[]beating // the lower key first

	now [][]float64 // room for amplitudes of what is struck
	old []float64   // and of a bell that rings
}

// Stroke is a bell struck at a time in seconds, with a gain in dB.
type Stroke struct {
	Key      int
	At, Gain float64
}

// Past are the strokes that may still ring, one of each bell, the lowest first.
// It is never changed: [Bells.Strike] makes a new one.
type Past []Stroke

// sound is a bell's partials.
type sound struct {
	hz, amplitude []float64
	decay         []float64 // in nepers a second
	heard         float64   // s until it is heardFor weaker
}

// beating are two partials that interfere, the one of the lower bell first.
type beating struct {
	of, with int
	weight   float64
}

// Muddy is how strongly, in the middle of a measure's strokes, what still rings
// may beat against what is struck: where it is as much as the stroke itself, the
// line is muddy. The figure is the project's own.
const Muddy = 1.0

// heardFor is how much weaker than when it was struck, in dB, a bell still
// counts as ringing: the project's own figure, as where voicings are chosen.
const heardFor = 20.0

// loudFor is how much weaker than when it was struck, in dB, a bell is still heard
// beside a stroke, as one that is struck with it: the project's own figure.
const loudFor = 10.0

// Loud is how long after a stroke, in seconds, a bell of a tower is still heard
// beside another that is struck.
func Loud(t *instrument.Tower, key int) float64 {
	return t.Bell(key).Heard(loudFor)
}

// neper is a decibel as the natural logarithm of amplitudes.
const neper = math.Ln10 / 20

// Of are the bells of a tower.
func Of(t *instrument.Tower) *Bells {
	return &Bells{tower: t}
}

// Strike strikes bells, all at one time and none of them twice. It says what may
// ring from then on, how strongly what still rang of others beats against the
// strokes, where 1 is as much interference as there is stroke, and how many bells
// did ring.
func (r *Bells) Strike(past Past, struck []Stroke) (then Past, beats float64, others int) {
	then = make(Past, 0, len(past)+len(struck))
	for _, s := range past {
		again := slices.ContainsFunc(struck, func(n Stroke) bool { return n.Key == s.Key })
		if !again && struck[0].At-s.At <= r.sound(s.Key).heard {
			then = append(then, s)
		}
	}
	beats, others = r.against(struck, then), len(then)
	then = append(then, struck...)
	slices.SortFunc(then, func(a, b Stroke) int { return cmp.Compare(a.Key, b.Key) })
	return then, beats, others
}

func (r *Bells) sound(key int) *sound {
	if r.sounds[key] == nil {
		b := r.tower.Bell(key)
		s := &sound{heard: b.Heard(heardFor)}
		for _, p := range b.Partials {
			s.hz = append(s.hz, b.Hz*p.Ratio)
			s.amplitude = append(s.amplitude, p.Amplitude)
			s.decay = append(s.decay, neper*60*p.Ratio/b.Ring.Middle()) // partials ring as much shorter as they are higher
		}
		r.sounds[key] = s
	}
	return r.sounds[key]
}

// between are the partials of two bells that interfere.
func (r *Bells) between(low, high int) []beating {
	if r.pairs[low][high] == nil {
		var all []beating
		for i, f := range r.sound(low).hz {
			for j, g := range r.sound(high).hz {
				if weight := acoustic.Interference(f, g); weight > 0 {
					all = append(all, beating{i, j, weight})
				}
			}
		}
		r.pairs[low][high] = &all
	}
	return *r.pairs[low][high]
}

// against is how strongly ringing bells beat against others: over all pairs of
// partials the product of the amplitudes, weighted by how much the ear hears
// them interfere, divided by the power of the struck ones. It is the part of
// their roughness (Hutchinson & Knopoff 1978) that the ringing bring, measured
// by the new stroke: 1 is as much interference as there is stroke.
func (r *Bells) against(struck, ringing []Stroke) float64 {
	at, power, beats := struck[0].At, 0.0, 0.0
	for len(r.now) < len(struck) {
		r.now = append(r.now, nil)
	}
	now := r.now
	for i, s := range struck {
		now[i] = r.amplitudes(now[i][:0], s, at)
		for _, a := range now[i] {
			power += a * a
		}
	}
	for _, o := range ringing {
		old := r.old[:0]
		for i, s := range struck {
			all := r.between(min(s.Key, o.Key), max(s.Key, o.Key))
			if len(all) > 0 && len(old) == 0 {
				old = r.amplitudes(old, o, at)
				r.old = old
			}
			lower, higher := now[i], old
			if o.Key < s.Key {
				lower, higher = old, now[i]
			}
			for _, b := range all {
				beats += b.weight * lower[b.of] * higher[b.with]
			}
		}
	}
	if power == 0 {
		return 0 // a tower may give its bells partials that are not heard
	}
	return beats / power
}

// amplitudes appends those of a bell's partials at a time to others.
func (r *Bells) amplitudes(others []float64, s Stroke, at float64) []float64 {
	bell, ago := r.sound(s.Key), max(0, at-s.At)
	for i, a := range bell.amplitude {
		others = append(others, a*math.Exp(neper*s.Gain-bell.decay[i]*ago))
	}
	return others
}
