package voicing

import (
	"slices"

	"undersong/score"
	"undersong/voicing/harmony"
)

// chordAt is the harmony of the source at a moment.
func (a *arrangement) chordAt(t score.Time) *harmony.Span { return &a.harmony[a.chordIndex(t)] }

// chordIndex is which of the harmony it is.
func (a *arrangement) chordIndex(t score.Time) int {
	i, found := slices.BinarySearchFunc(a.harmony, t, func(h harmony.Span, t score.Time) int { return h.From.Cmp(t) })
	if !found {
		i--
	}
	return max(i, 0)
}

// rootAt is the pitch class of the chord's root at a moment, -1 of none.
func (a *arrangement) rootAt(t score.Time) int {
	if c := a.chordAt(t).Chord; c.HasRoot {
		return c.Root.Class()
	}
	return -1
}

// classesOf are the pitch classes of keys.
func classesOf(keys []int) harmony.Classes {
	var c harmony.Classes
	for _, k := range keys {
		c = c.With(k % 12)
	}
	return c
}

// degreeRank orders the tones of a chord by how soon they may go.
type degreeRank int

const (
	third degreeRank = iota
	seventh
	alteredFifth
	addedTone
	chordRoot
	fifth
	doubled
)

func (r degreeRank) String() string {
	return [...]string{
		"third", "seventh", "altered fifth", "added tone", "root", "fifth", "doubled note",
	}[r]
}

// rankIn is what a pitch class is in a chord; a suspended tone stands for the
// third where there is none, and what is not of the chord is an added tone.
func rankIn(class int, c score.ChordSymbol) degreeRank {
	tones := harmony.Tones(c)
	isThird := func(t harmony.Tone) bool { return t.Degree == 3 }
	for _, t := range tones {
		if t.Class(c.Root) != class {
			continue
		}
		switch {
		case t.Degree == 1:
			return chordRoot
		case t.Degree == 5 && t.Semitones == 7:
			return fifth
		case t.Degree == 5:
			return alteredFifth
		case t.Degree == 7:
			return seventh
		case isThird(t), t.Degree <= 4 && !slices.ContainsFunc(tones, isThird):
			return third
		}
	}
	return addedTone
}
