package notation

import (
	"cmp"
	"slices"

	"undersong/score"
)

// numbers are the numbers of a part's voices, the same throughout.
type numbers struct {
	staves int
	home   map[int]int // the staff of each number
	first  []int       // the lowest number of each staff, or 0
	// parted are the voices that are really several, one on each of their
	// staves: some scores number the voices of each staff from 1.
	parted map[int]bool
	given  map[line]int // the numbers that no note of the score has
}

// line is what needs a number: a voice, where it is parted on a staff of its
// own, and what overlaps in it, counted from 1. Voice 0 is the rests of an
// empty staff.
type line struct{ staff, voice, overlap int }

func numberVoices(part *score.Part) numbers {
	n := numbers{
		staves: max(part.Staves, 1), home: map[int]int{},
		parted: map[int]bool{}, given: map[line]int{},
	}
	for _, m := range part.Measures {
		n.survey(m)
	}
	n.first = make([]int, n.staves)
	for number, staff := range n.home {
		if f := n.first[staff-1]; f == 0 || number < f {
			n.first[staff-1] = number
		}
	}
	return n
}

// survey learns the voices of m: their home is the staff that they begin on.
func (n *numbers) survey(m *score.Measure) {
	var elsewhere []int
	for i := range m.Notes {
		v, staff := m.Notes[i].Voice, m.Notes[i].Staff
		n.staves = max(n.staves, staff)
		home, known := n.home[v]
		if !known {
			n.home[v] = staff
		} else if home != staff && !n.parted[v] && !slices.Contains(elsewhere, v) {
			elsewhere = append(elsewhere, v)
		}
	}
	for _, v := range elsewhere {
		if clash(m, v) {
			n.parted[v] = true
		}
	}
}

// clash tells whether voice v of m does different things on two staves at
// once. A chord spread over both is one thing.
func clash(m *score.Measure, v int) bool {
	var notes []*score.Note
	for i := range m.Notes {
		if n := &m.Notes[i]; n.Voice == v && !n.Grace {
			notes = append(notes, n)
		}
	}
	slices.SortStableFunc(notes, func(a, b *score.Note) int {
		return cmp.Or(a.Onset.Cmp(b.Onset), a.Length.Cmp(b.Length))
	})
	last := map[int]*score.Note{} // by staff, the note that ends last
	for _, n := range notes {
		for staff, before := range last {
			same := before.Onset == n.Onset && before.Length == n.Length && before.Kind == n.Kind && n.Kind != score.Rest
			if staff != n.Staff && n.Onset.Less(before.End()) && !same {
				return true
			}
		}
		if before := last[n.Staff]; before == nil || before.End().Less(n.End()) {
			last[n.Staff] = n
		}
	}
	return false
}

// of is the number of n's voice.
func (n *numbers) of(note *score.Note) int {
	home, known := n.home[note.Voice]
	if !known {
		n.home[note.Voice] = note.Staff
	}
	if known && home != note.Staff && n.parted[note.Voice] {
		return n.give(line{note.Staff, note.Voice, 0})
	}
	return note.Voice
}

// give is the number of a line that the score has no number for: a free one
// of the four that its staff begins with, or the next beyond all of these.
func (n *numbers) give(l line) int {
	if number, known := n.given[l]; known {
		return number
	}
	number := 4*l.staff - 3
	for ; n.home[number] != 0; number++ {
		if number == 4*l.staff {
			number = 4 * n.staves
		}
	}
	n.given[l], n.home[number] = number, l.staff
	return number
}
