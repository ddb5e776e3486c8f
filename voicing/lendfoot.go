package voicing

import (
	"math"
	"slices"

	"undersong/instrument"
	"undersong/score"
)

// lendFoot gives the guide of a moment that the hands do not strike, for want of room
// or time, to a foot that is free then, where the voicing has a bass in the pedals. It
// lies under all that the hands strike. Where no foot can, the guide is left out.
func (accompany) lendFoot(a *arrangement, m *moment, g *grip) {
	n := m.guide
	if n == nil || n.seat != nowhere || n.leftOut != "" {
		return
	}
	if m.way.bass == kept && m.bass == 0 && !a.isMade(n) {
		keys := slices.Concat(g.keys[:g.n], m.others)
		if m.sings {
			keys = append(keys, m.melody.low)
		}
		under := slices.Min(append(keys, a.tower.Pedals.High()+1))
		for octaves := farthest; octaves >= -farthest; octaves-- {
			key := n.Pitch.MIDI() + 12*octaves
			if key < under && a.tower.Pedals.Has(key) && !roughWith(key, keys) && a.footFree(n.Onset, n.at, key) {
				n.role, n.seat, n.octaves = bass, feet, octaves
				a.moved(n)
				return
			}
		}
	}
	a.leaveOut(n, m.why(rankIn(n.Pitch.Class(), a.chordAt(n.Onset).Chord)))
}

// roughWith tells whether a key is a low major third or a semitone from one of others.
func roughWith(key int, others []int) bool {
	return slices.ContainsFunc(others, func(other int) bool {
		return instrument.RoughThird(key, other) || abs(key-other) == 1
	})
}

// footFree tells whether a foot is in time for a pedal, and its bell's clapper back,
// between what is struck before and after.
func (a *arrangement) footFree(onset score.Time, at float64, key int) bool {
	slower := ease[a.options.Difficulty].time
	late := func(n *note) bool {
		apart := math.Abs(n.at - at)
		return n.seat == feet && apart < slower*a.feetTime(n.key(), key) ||
			n.seat != nowhere && n.key() == key && apart < slower*a.figures.repeat[key]
	}
	longest := slower * max(a.feetTime(a.tower.Pedals.Low(), a.tower.Pedals.High()), a.feetTime(key, key))
	i, _ := slices.BinarySearchFunc(a.notes, onset, func(n *note, t score.Time) int { return n.Onset.Cmp(t) })
	for from := i - 1; from >= 0 && at-a.notes[from].at < longest; from-- {
		if n := a.notes[from]; n.leftOut == "" && late(n) {
			return false
		}
	}
	for to := i; to < len(a.notes) && a.notes[to].at-at < longest; to++ {
		if n := a.notes[to]; n.leftOut == "" && late(n) {
			return false
		}
	}
	return true
}
