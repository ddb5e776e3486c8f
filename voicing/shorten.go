package voicing

import "undersong/score"

// Shorten writes the accompaniment, and the bass, as one line of chords: each
// lasts as long as its longest note, at most until the next is struck. A bell
// rings on whatever is written, so nothing is lost to the ear.
type Shorten struct{}

// Name is "shorten".
func (Shorten) Name() string { return "shorten" }

// Apply implements [Pass].
func (Shorten) Apply(a *Arrangement) {
	for _, role := range []Role{Accompaniment, Bass} {
		strikes := together(a.with(role))
		for i, strike := range strikes {
			length := longest(strike)
			if i+1 < len(strikes) {
				length = score.Min(length, strikes[i+1][0].Onset.Sub(strike[0].Onset))
			}
			for _, n := range strike {
				if n.Written != length {
					n.Written = length
					a.relengthened(n)
				}
			}
		}
	}
}

func longest(notes []*Note) score.Time {
	var length score.Time
	for _, n := range notes {
		length = score.Max(length, n.Length)
	}
	return length
}
