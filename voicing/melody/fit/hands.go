package main

import (
	"cmp"
	"slices"

	"undersong/voicing/melody/internal/model"
)

// Songs moved by octaves are written for two hands anew, by pitch and length alone, so
// that staff and voice say nothing about the melody.

// layOut gives every note a staff and a voice.
func layOut(notes []labelled) {
	inOrder(notes)
	split := 60
	for first := 0; first < len(notes); {
		last := first
		for last < len(notes) && notes[last].On == notes[first].On {
			last++
		}
		split = splitOf(notes[first:last], split)
		for i := first; i < last; i++ {
			notes[i].Hand = 0
			if notes[i].Pitch < split {
				notes[i].Hand = 1
			}
		}
		first = last
	}
	layVoices(notes)
}

// layVoices gives every note a voice on its staff.
func layVoices(notes []labelled) {
	inOrder(notes)
	for hand := range 2 {
		voices(notes, hand)
	}
}

// inOrder sorts notes by onset, then from low to high.
func inOrder(notes []labelled) {
	slices.SortStableFunc(notes, func(a, b labelled) int {
		return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.Pitch, b.Pitch))
	})
}

// splitOf is the pitch between the hands for notes struck together: in a wide
// gap, near where it was and near middle C.
func splitOf(chord []labelled, before int) int {
	best, bestCost := before, 1<<30
	for split := 48; split <= 72; split++ {
		cost := abs(split-60) + 3*abs(split-before)
		low, high := 0, 0
		for _, n := range chord {
			if n.Pitch < split {
				low = max(low, n.Pitch)
			} else if high == 0 {
				high = n.Pitch
			}
		}
		bottom, top := chord[0].Pitch, chord[len(chord)-1].Pitch
		switch {
		case low > 0 && high > 0:
			cost -= 2 * min(12, high-low)
			cost += 8 * (max(0, low-bottom-12) + max(0, top-high-12))
		case low > 0:
			cost += 8 * max(0, top-bottom-12)
		}
		if cost < bestCost {
			best, bestCost = split, cost
		}
	}
	return best
}

// voices numbers the notes of one staff: chords of one length, the highest
// first, go to the first free voice.
func voices(notes []labelled, hand int) {
	var free [4]int // when each voice is free
	for first := 0; first < len(notes); {
		last := first
		for last < len(notes) && notes[last].On == notes[first].On {
			last++
		}
		taken := map[int]int{} // by length
		for i := last - 1; i >= first; i-- {
			n := &notes[i].Note
			if n.Hand != hand {
				continue
			}
			v, ok := taken[n.Length()]
			if !ok {
				v = freeVoice(&free, n)
				taken[n.Length()] = v
			}
			n.Voice = 4*hand + v + 1
		}
		first = last
	}
}

func freeVoice(free *[4]int, n *model.Note) int {
	soonest := 0
	for v, t := range free {
		if t <= n.On {
			soonest = v
			break
		}
		if t < free[soonest] {
			soonest = v
		}
	}
	free[soonest] = n.End
	return soonest
}

func abs(n int) int { return max(n, -n) }
