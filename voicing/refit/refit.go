// Package refit moves a carillon score to another tower without arranging it
// anew: what has a key stays as it is, and so do all measures in which nothing
// has to move; a phrase that lacks a key goes to the nearest octave that has all
// of it.
//
// It thins nothing and looks at no player; package check does that afterwards.
package refit

import (
	"fmt"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/check"
)

// Change is one note that is not where it was.
type Change struct {
	score.Place
	Note string `json:"note"`         // as written
	To   string `json:"to,omitempty"` // "" where the tower has no key for it in any octave
	// Octaves is the move, by which a whole phrase moves, or the note alone.
	Octaves int  `json:"octaves,omitempty"`
	Alone   bool `json:"alone,omitempty"`
}

// String is the change in a line.
func (c Change) String() string {
	switch {
	case c.To == "":
		return fmt.Sprintf("%s: %s has no key in any octave and is left out", c.Place, c.Note)
	case c.Alone:
		return fmt.Sprintf("%s: %s becomes %s by itself: no octave has all of its phrase", c.Place, c.Note, c.To)
	}
	return fmt.Sprintf("%s: %s becomes %s with its phrase", c.Place, c.Note, c.To)
}

// Score is s for a tower, and what moved. The measures in which nothing did are
// those of s.
func Score(s *score.Score, t *instrument.Tower) (*score.Score, []Change) {
	r := &refit{source: s, tower: t, moves: map[*score.Note]move{}}
	for _, k := range check.Keyboards(s) {
		keys := t.Manual
		if k.Pedals {
			keys = t.Pedals
		}
		for _, line := range r.lines(k) {
			for _, phrase := range phrases(line) {
				r.place(phrase, keys)
			}
		}
	}
	return r.score(), r.changes()
}

// move is what becomes of a note.
type move struct {
	octaves int
	alone   bool
	gone    bool
}

type refit struct {
	source *score.Score
	tower  *instrument.Tower
	moves  map[*score.Note]move
}

// lines are the tones of each voice of a keyboard, in time order. Pitches are
// keys as written, whatever a part transposes by.
func (r *refit) lines(k check.Keyboard) [][]*score.Tone {
	voices := map[int][]*score.Tone{}
	tones := r.source.Tones()
	for i := range tones {
		n := tones[i].First()
		if r.source.Parts[tones[i].Part].ID == k.Part && n.Staff == k.Staff && n.Plays() {
			voices[n.Voice] = append(voices[n.Voice], &tones[i])
		}
	}
	var numbers []int
	for v := range voices {
		numbers = append(numbers, v)
	}
	slices.Sort(numbers)
	var lines [][]*score.Tone
	for _, v := range numbers {
		lines = append(lines, voices[v])
	}
	return lines
}

// longNote ends a phrase in a line without rests: common practice, no source.
var longNote = score.Quarters(2)

// phrases parts a line at its rests and after long notes that are longer than
// what follows.
func phrases(line []*score.Tone) [][]*score.Tone {
	var all [][]*score.Tone
	start := 0
	for i := 1; i <= len(line); i++ {
		if i < len(line) {
			a, b := line[i-1], line[i]
			if !a.End().Less(b.Onset) && (a.Length.Less(longNote) || !b.Length.Less(a.Length)) {
				continue
			}
		}
		all = append(all, line[start:i])
		start = i
	}
	return all
}

// farthest is the largest move by octaves.
const farthest = 4

// nearest are moves by octaves, the nearest first.
func nearest(has func(octaves int) bool) (octaves int, ok bool) {
	for d := range farthest + 1 {
		for _, o := range []int{d, -d} {
			if has(o) {
				return o, true
			}
		}
	}
	return 0, false
}

// place moves a phrase as one where an octave has all of its keys, else its
// notes one by one.
func (r *refit) place(phrase []*score.Tone, keys instrument.Compass) {
	has := func(t *score.Tone, octaves int) bool { return keys.Has(t.First().Pitch.MIDI() + 12*octaves) }
	octaves, whole := nearest(func(o int) bool {
		return !slices.ContainsFunc(phrase, func(t *score.Tone) bool { return !has(t, o) })
	})
	for _, t := range phrase {
		m := move{octaves: octaves}
		if !whole {
			var ok bool
			m.octaves, ok = nearest(func(o int) bool { return has(t, o) })
			m.alone, m.gone = m.octaves != 0, !ok
		}
		for _, p := range t.Pieces {
			if m != (move{}) {
				r.moves[p.Note] = m
			}
		}
	}
}

// score is the source with its moved notes.
func (r *refit) score() *score.Score {
	out := *r.source
	out.Parts = nil
	for _, p := range r.source.Parts {
		q := *p
		q.Measures = slices.Clone(p.Measures)
		for i, m := range p.Measures {
			if slices.ContainsFunc(pointers(m), func(n *score.Note) bool { _, moved := r.moves[n]; return moved }) {
				q.Measures[i] = r.measure(m)
			}
		}
		out.Parts = append(out.Parts, &q)
	}
	return &out
}

// measure is m with its moved notes. Two notes of a chord that come to strike
// one key are one.
func (r *refit) measure(m *score.Measure) *score.Measure {
	c := *m
	c.Notes = nil
	for _, n := range pointers(m) {
		moved, note := r.moves[n], *n
		if moved.gone {
			continue
		}
		note.Pitch = n.Pitch.Octaves(moved.octaves)
		same := func(o score.Note) bool {
			return o.Onset == note.Onset && o.Staff == note.Staff && o.Voice == note.Voice && o.Pitch == note.Pitch && o.Grace == note.Grace && n.Kind == score.Pitched
		}
		if !slices.ContainsFunc(c.Notes, same) {
			c.Notes = append(c.Notes, note)
		}
	}
	return &c
}

func pointers(m *score.Measure) []*score.Note {
	notes := make([]*score.Note, len(m.Notes))
	for i := range m.Notes {
		notes[i] = &m.Notes[i]
	}
	return notes
}

// changes lists what moved, in time order.
func (r *refit) changes() []Change {
	starts, beats := r.source.Starts(), r.source.Beats()
	changes := []Change{}
	tones := r.source.Tones()
	for i := range tones {
		n, at := tones[i].First(), tones[i].Pieces[0].Measure
		m, moved := r.moves[n]
		if !moved {
			continue
		}
		part := r.source.Parts[tones[i].Part]
		c := Change{
			Place: score.Place{Part: part.ID, Measure: part.Measures[at].Number, Beat: score.BeatName(tones[i].Onset.Sub(starts[at]), beats[at])},
			Note:  n.Pitch.String(), Octaves: m.octaves, Alone: m.alone,
		}
		if !m.gone {
			c.To = n.Pitch.Octaves(m.octaves).String()
		}
		changes = append(changes, c)
	}
	return changes
}

// Worst is how many notes were left out and how many moved alone, for a line
// that says what a refit costs.
func Worst(changes []Change) (gone, alone int) {
	for _, c := range changes {
		switch {
		case c.To == "":
			gone++
		case c.Alone:
			alone++
		}
	}
	return gone, alone
}
