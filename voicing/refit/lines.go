package refit

import (
	"iter"
	"maps"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/check"
)

// phrasesOn are those of each voice of a keyboard, in time order.
func (r *refit) phrasesOn(k check.Keyboard) [][]int {
	voices := map[int][]int{}
	for i := range r.tones {
		n := r.tones[i].First()
		if r.source.Parts[r.tones[i].Part].ID == k.Part && n.Staff == k.Staff && n.Plays() {
			voices[n.Voice] = append(voices[n.Voice], i)
		}
	}
	var phrases [][]int
	for _, v := range slices.Sorted(maps.Keys(voices)) {
		phrases = append(phrases, r.breathe(voices[v])...)
	}
	return phrases
}

// longNote ends a phrase in a line without rests: common practice, no source.
var longNote = score.Quarters(2)

// breathe parts a line at its rests and after long notes that are longer than
// what follows. Of a chord the longest note counts; grace notes go with what
// follows.
func (r *refit) breathe(line []int) [][]int {
	var all [][]int
	var before, now chord
	start := 0
	for i, k := range line {
		t := &r.tones[k]
		if t.First().Grace {
			continue
		}
		if now.any && t.Onset == now.onset {
			now.end = score.Max(now.end, t.End())
			continue
		}
		if before.any && now.any && before.breaks(&now) {
			all = append(all, line[start:now.first])
			start = now.first
		}
		first := i
		for first > start && r.tones[line[first-1]].First().Grace {
			first--
		}
		before, now = now, chord{true, first, t.Onset, t.End()}
	}
	if before.any && before.breaks(&now) {
		all = append(all, line[start:now.first])
		start = now.first
	}
	return append(all, line[start:])
}

// chord is what a line strikes at once.
type chord struct {
	any        bool
	first      int // of the line, with the grace notes that lead to it
	onset, end score.Time
}

// breaks tells whether a line breathes between a chord and the next.
func (c *chord) breaks(next *chord) bool {
	length := c.end.Sub(c.onset)
	return c.end.Less(next.onset) || !length.Less(longNote) && next.end.Sub(next.onset).Less(length)
}

// What it costs to part a phrase that no octave holds; the project's own
// figures, in notes that are not where they were.
const (
	farther = 0.1 // each octave more than one
	parted  = 3.0 // that one note is in another octave than the one before
)

// farthest is the largest move by octaves.
const farthest = 4

// octavesNear are the moves by octaves to where all keys of u are, the nearest
// first.
func (r *refit) octavesNear(u *unit) iter.Seq[int] {
	return func(yield func(int) bool) {
		for d := range 2*farthest + 1 {
			octaves := (d + 1) / 2 // 0, 1, -1, 2 …
			if d%2 == 0 {
				octaves = -octaves
			}
			if r.fits(u, octaves) && !yield(octaves) {
				return
			}
		}
	}
}

// place moves a phrase as one to the nearest octave that has all of its keys,
// else in parts: as few notes as can be, in as few parts.
func (r *refit) place(phrase []int, keys instrument.Compass) {
	r.phrases = append(r.phrases, phrase)
	u := &unit{tones: phrase, keys: keys}
	r.own(u)
	for octaves := range r.octavesNear(u) {
		u.octaves = octaves
		return
	}
	var kept []int
	for _, i := range phrase {
		one := &unit{tones: []int{i}, keys: keys, gone: true}
		for range r.octavesNear(one) {
			one.gone = false
			break
		}
		if r.own(one); !one.gone {
			kept = append(kept, i)
		}
	}
	if len(kept) == 0 {
		return
	}
	octaves := r.part(kept, keys)
	start := 0
	for k := 1; k <= len(kept); k++ {
		if k == len(kept) || octaves[k] != octaves[start] {
			r.own(&unit{tones: kept[start:k], keys: keys, octaves: octaves[start]})
			start = k
		}
	}
}

// part gives each note of a phrase the octaves by which it moves, at the least
// cost in all.
func (r *refit) part(phrase []int, keys instrument.Compass) []int {
	const moves = 2*farthest + 1
	type step struct {
		cost float64
		from int // the move of the note before
	}
	const none = 1e9
	steps := make([][moves]step, len(phrase))
	for k, i := range phrase {
		for m := range moves {
			octaves := m - farthest
			best := step{none, 0}
			if keys.Has(r.pitch(i).MIDI() + 12*octaves) {
				best.cost = moving(octaves)
				if k > 0 {
					best.cost = none
					for from, before := range steps[k-1] {
						cost := before.cost + moving(octaves)
						if from != m {
							cost += parted
						}
						if cost < best.cost {
							best = step{cost, from}
						}
					}
				}
			}
			steps[k][m] = best
		}
	}
	at := 0
	for m, s := range steps[len(phrase)-1] {
		if s.cost < steps[len(phrase)-1][at].cost {
			at = m
		}
	}
	octaves := make([]int, len(phrase))
	for k := len(phrase) - 1; k >= 0; k-- {
		octaves[k] = at - farthest
		at = steps[k][at].from
	}
	return octaves
}

// moving is what a note's move costs.
func moving(octaves int) float64 {
	if octaves == 0 {
		return 0
	}
	return 1 + farther*float64(max(octaves, -octaves)-1)
}
