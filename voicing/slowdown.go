package voicing

import (
	"math"
	"slices"

	"undersong/score"
)

// slowestAssumed is the slowest tempo that may be assumed where a score has none, as a
// part of the usual one: that is a guess, and one at which the melody can be played is
// the better guess. The project's own figure.
const slowestAssumed = 0.8

// tempoIsOpen tells whether the tempo is assumed from beginning to end. What is left
// as written has no tempo of ours.
func (a *arrangement) tempoIsOpen() bool {
	return a.clock.Assumed() && !a.partly
}

// tempi are the slowest tempo that may be assumed, the usual one and the step from one
// that may be written to the next, all in quarter notes a minute: whole beats are.
func (a *arrangement) tempi() (slowest, usual, step float64) {
	_, step = a.metronomeUnit()
	usual, _ = a.clock.Tempo()
	return math.Ceil(usual*slowestAssumed/step) * step, usual, step
}

// slower finds the fastest tempo in which all of the melody can be played that can be
// in the slowest one. What is late or needs help in the usual one is tried anew in it:
// there may be time.
func (a *arrangement) slower(placed *placing) {
	if !a.tempoIsOpen() || !slices.ContainsFunc(placed.chosen, func(w weighed) bool { return w.slow }) {
		return
	}
	slowest, usual, step := a.tempi()
	placed.tempo = slowest
	for faster := slowest + step; faster < usual && a.playableAt(placed, faster/usual); faster += step {
		placed.tempo = faster
	}
	for i := range placed.chosen {
		if w := &placed.chosen[i]; w.slow || len(w.helped)+len(w.late) > 0 {
			w.trial = a.tryAt(placed.stretches[i], w.place, placed.tempo/usual)
		}
	}
}

// slowDown assumes the tempo in which the melody is placed, if that is not the usual
// one, and writes it down.
func (a *arrangement) slowDown(tempo float64) {
	if tempo == 0 {
		return
	}
	unit, _ := a.metronomeUnit()
	usual, _ := a.clock.Tempo()
	a.clock = score.Steady(tempo)
	for _, n := range a.notes {
		n.at = a.clock.Seconds(n.Onset)
	}
	a.directions = append(a.directions, placedDirection{0, score.Direction{
		Staff: 1, Placement: "above", Signs: []score.Sign{{Name: "metronome", Text: unit}}, Sound: score.Sound{Tempo: tempo},
	}})
	a.tell("the score has no tempo, and at the usual %.0f quarter notes a minute not all of the melody can be struck in time: %.0f are assumed and written", usual, tempo)
}

// metronomeUnit is the note that the first measure counts, as a metronome mark names
// it, and its length in quarter notes.
func (a *arrangement) metronomeUnit() (name string, quarters float64) {
	for name, quarters := range metronomeUnits {
		if len(a.beats[0]) > 0 && a.beats[0][0] == quarters {
			return name, quarters.Quarters()
		}
	}
	return "quarter", 1
}

// metronomeUnits are the notes that metres count.
var metronomeUnits = map[string]score.Time{
	"whole": score.Quarters(4), "half.": score.Quarters(3), "half": score.Quarters(2), "quarter.": score.Frac(3, 2),
	"quarter": score.Quarter, "eighth.": score.Frac(3, 4), "eighth": score.Frac(1, 2),
}

// playableAt tells whether what can be played at a slower tempo can be in this one.
func (a *arrangement) playableAt(placed *placing, tempo float64) bool {
	for i, w := range placed.chosen {
		if w.slow && a.tryAt(placed.stretches[i], w.place, tempo).late != nil {
			return false
		}
	}
	return true
}
