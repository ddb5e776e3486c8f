package voicing

import (
	"cmp"
	"math"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/lead"
)

const (
	// bassTop is the highest note that is taken for a bass: middle C. The
	// accompaniment of a passage that lies wholly above it has none.
	bassTop = 60
	// belowMelody is how far a bass keeps under the melody, in semitones: a
	// fourth, so that no third is struck low down; the project's own figure.
	belowMelody = 5
)

// repeatedBass is how soon, in seconds, a bass that is repeated is not struck
// again: the project's own figure.
const repeatedBass = 1.0

// What a note of the bass minds about a move by octaves. The figures are the
// project's own.
const (
	bassOffCost   = 1.0  // each octave away from where it was
	bassLeapCost  = 1.0  // each octave that an interval grows or turns by
	bassHighCost  = 0.5  // each octave above the lowest pedals' first
	bassLostCost  = 6.0  // it is not in the pedals
	bassLateCost  = 8.0  // it comes sooner than the feet can
	bassThirdCost = 7.0  // the melody comes to a major third over it while it rings low: more than it is worth
	bassLoudCost  = 0.45 // each dB that the melody cannot be marked to stand clear of it
)

// ringsFor is how long, in seconds, a bass that is struck where the harmony changes counts as
// heard: the project's own figure.
const ringsFor = 6.0

// ringsStill is the reason for which a bass is not struck again.
const ringsStill = "repeated on a bell that still rings"

// noPedal is the state of a bass note that is left to the hands.
const noPedal = farthest + 1

// placeBass makes the lowest note struck on each beat the bass and, where the
// voicing keeps one, puts it on the pedals near where it was in the source.
// What comes after the beat is left to the hands: a busy pedal part on heavy
// bells is to be avoided (Flemish Carillon Association, composing guide). A
// bass that has no place in the pedals, or comes sooner than the feet can,
// stays with the accompaniment.
func (a *arrangement) placeBass() {
	notes := a.basses()
	if len(notes) == 0 {
		return
	}
	melody, tunes := a.melodyRanges(), a.with(tune)
	steps := make([][]int, len(notes))
	for i, n := range notes {
		top := lowestTune(tunes, n) - 1
		for octaves := -farthest; octaves <= farthest; octaves++ {
			key := n.Pitch.MIDI() + 12*octaves
			r, sounds := melody[n.Onset]
			if a.tower.Pedals.Has(key) && key <= top && !(sounds && key > r.low-belowMelody) {
				steps[i] = append(steps[i], octaves)
			}
		}
		steps[i] = append(steps[i], noPedal)
	}
	path := cheapest(steps,
		func(i int, octaves *int) float64 {
			if *octaves == noPedal {
				return bassLostCost
			}
			key := notes[i].Pitch.MIDI() + 12**octaves
			above := key - a.tower.Pedals.Low() - 12
			cost := bassOffCost*float64(abs(*octaves)) + bassHighCost*float64(max(0, above))/12 + bassLoudCost*a.tooLoud(notes[i], key)
			if a.makesThird(tunes, notes, i, key) {
				cost += bassThirdCost
			}
			return cost
		},
		func(i int, from, to *int) float64 {
			if *from == noPedal || *to == noPedal {
				return 0
			}
			cost := bassLeapCost * float64(abs(*to-*from))
			f, t := notes[i-1], notes[i]
			if t.at-f.at < ease[a.options.Difficulty].time*a.feetTime(f.Pitch.MIDI()+12**from, t.Pitch.MIDI()+12**to) {
				cost += bassLateCost
			}
			return cost
		})
	for i, n := range notes {
		if octaves := steps[i][path[i]]; octaves != noPedal {
			n.role, n.seat, n.octaves = bass, feet, octaves
			a.moved(n)
		}
	}
}

// lowestTune is the lowest key of the melody, of tunes, that is struck while n is held.
func lowestTune(tunes []*note, n *note) int {
	first, _ := slices.BinarySearchFunc(tunes, n.Onset, func(t *note, at score.Time) int { return t.Onset.Cmp(at) })
	low := 128
	for _, t := range tunes[first:] {
		if !t.Onset.Less(n.End()) {
			break
		}
		low = min(low, t.key())
	}
	return low
}

// tooLoud is by how many dB the bass on a key is too loud for the melody that is
// struck with it, as far apart as they can be marked.
func (a *arrangement) tooLoud(n *note, key int) float64 {
	melody := a.powersAt(n.Onset, line{}).melody
	if melody == 0 {
		return 0
	}
	clear := 10*math.Log10(melody) - a.figures.level[key] + a.tower.Dynamics*mostApart
	return max(0, margin-clear)
}

// makesThird tells whether the melody, among tunes, strikes a rough third over the
// bass on a key while that is loud, or until the next bass.
func (a *arrangement) makesThird(tunes, basses []*note, i, key int) bool {
	n := basses[i]
	until := n.at + a.figures.loud[key]
	if i+1 < len(basses) {
		until = min(until, basses[i+1].at)
	}
	first, _ := slices.BinarySearchFunc(tunes, n.Onset, func(t *note, at score.Time) int { return t.Onset.Cmp(at) })
	for _, t := range tunes[first:] {
		if t.at >= until {
			break
		}
		if t.key() > key && instrument.RoughThird(key, t.key()) {
			return true
		}
	}
	return false
}

// feetTime is the least time between two strokes of the pedals: of one foot on
// one pedal, of both in turn on two.
func (a *arrangement) feetTime(from, to int) float64 {
	if from == to {
		return a.tower.FootTime(from, to)
	}
	return a.tower.FootTime(from, to) / 2
}

// basses are the notes that may be bass, one at most to a beat.
func (a *arrangement) basses() []*note {
	var found []*note
	var last, struck *note     // before, and before on its bell
	again := false             // struck is a repetition
	var lowest *note           // of the strike before
	var sounding []*note       // struck before and held
	root, changed := -1, false // of the harmony, and since a note was found
	tunes := a.melodyMeasures()
	strikes := together(a.with(accompaniment))
	lastBar := a.starts[len(a.starts)-2]
	for i, strike := range strikes {
		if strike[0].way.alone {
			continue
		}
		n := slices.MinFunc(strike, func(n, o *note) int { return cmp.Compare(n.Pitch.MIDI(), o.Pitch.MIDI()) })
		if now := a.rootAt(n.Onset); now != root {
			root, changed = now, true
		}
		before := lowest
		lowest = n
		sounding = slices.DeleteFunc(sounding, func(o *note) bool { return !n.Onset.Less(o.End()) })
		over := slices.ContainsFunc(sounding, func(o *note) bool { return o.Pitch.MIDI() < n.Pitch.MIDI() })
		sounding = append(sounding, strike...)
		if a.isMade(n) && !lead.IsBass(n.Pitch) {
			continue // it is of a broken figure
		}
		if n.Pitch.MIDI() > bassTop || a.beatStart(n.Onset) != n.Onset || over || a.afterBeat(last, n, len(strike)) {
			continue
		}
		repeats := struck != nil && struck.Pitch.MIDI() == n.Pitch.MIDI()
		if (n.way.bass != folded || !tunes[a.measureAt(n.Onset)]) && repeats && n.at-struck.at < repeatedBass && !resolves(before, n) {
			if n.Onset != a.starts[a.measureAt(n.Onset)] {
				a.leaveOut(n, ringsStill)
				last = n
				continue
			}
			if again { // the stronger beat has the stroke
				a.leaveOut(struck, ringsStill)
				found = slices.DeleteFunc(found, func(o *note) bool { return o == struck })
			}
		}
		last, struck, again = n, n, repeats
		// The piece ends on its root, and what was struck long ago is heard no more.
		needed := changed || i == len(strikes)-1 || n.Onset == lastBar || len(found) > 0 && n.at-found[len(found)-1].at > ringsFor
		if !tunes[a.measureAt(n.Onset)] || n.way.bass == kept || n.way.bass == light && needed && n.Pitch.Class() == root {
			found = append(found, n)
			changed = false
		}
	}
	return found
}

// melodyMeasures tells in which measures the melody sounds. Where it rests the
// pedals have the bass, whatever the voicing.
func (a *arrangement) melodyMeasures() []bool {
	sounds := make([]bool, len(a.starts))
	for _, n := range a.with(tune) {
		for i := a.measureAt(n.Onset); i < len(a.starts)-1 && a.starts[i].Less(score.Max(n.End(), n.Onset.Add(score.Frac(1, 64)))); i++ {
			sounds[i] = true
		}
	}
	return sounds
}

// afterBeat tells whether n, the lowest of so many notes struck together, is
// no bass but the foot of a chord that answers one: of the same harmony, a fifth or more
// above the bass before it in the measure. That interval is the project's own.
func (a *arrangement) afterBeat(last, n *note, struck int) bool {
	return last != nil && struck > 1 && a.measureAt(last.Onset) == a.measureAt(n.Onset) && n.Pitch.MIDI()-last.Pitch.MIDI() >= 7 &&
		a.chordAt(last.Onset) == a.chordAt(n.Onset)
}

// resolves tells whether n is where the lowest note before it, a step away, leads: a
// neighbour that goes nowhere would stay in the ear.
func resolves(before, n *note) bool {
	return before != nil && stepApart(before.Pitch.MIDI(), n.Pitch.MIDI())
}

// stepApart tells whether two keys are a semitone or a whole tone apart.
func stepApart(key, other int) bool {
	apart := abs(key - other)
	return apart == 1 || apart == 2
}
