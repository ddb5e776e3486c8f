// Package refit moves a carillon score to another tower without arranging it
// anew: what has a key stays as it is, and so do all measures in which nothing
// has to move; a phrase that lacks a key goes to the nearest octave that has all
// of it, or to one where hands and feet can follow if there they could not.
//
// It thins nothing: what a player cannot do then is told.
package refit

import (
	"fmt"
	"iter"
	"maps"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/check"
	"undersong/voicing/playing"
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

// Report is what a refit did. Its fields are stable.
type Report struct {
	Version int      `json:"version"` // of this form: 1
	Moved   []Change `json:"moved"`
	// Unplayable is what hands and feet cannot do of the result.
	Unplayable []check.Finding `json:"unplayable"`
}

// Score is s for a tower, and what moved. The measures in which nothing did are
// those of s. It fails where nothing is to be struck, or the tempo is no tempo.
func Score(s *score.Score, t *instrument.Tower) (*score.Score, *Report, error) {
	r := &refit{source: s, tones: s.Tones(), tower: t, moves: map[*score.Note]*unit{}}
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
	if err := r.play(); err != nil {
		return nil, nil, err
	}
	out := r.score()
	report := &Report{Version: 1, Moved: r.changes(), Unplayable: []check.Finding{}}
	found, err := check.Playable(out, t)
	for _, f := range found {
		if f.What != playing.Leap.String() { // hard, but not impossible
			report.Unplayable = append(report.Unplayable, f)
		}
	}
	return out, report, err
}

// unit is what moves as one: a phrase, or a note alone.
type unit struct {
	tones   []*score.Tone
	keys    instrument.Compass
	octaves int
	alone   bool
	gone    bool // no octave has it
}

// octavesNear are the moves by octaves to where all keys are, the nearest first.
func (u *unit) octavesNear() iter.Seq[int] {
	return func(yield func(int) bool) {
		for d := range 2*farthest + 1 {
			octaves := (d + 1) / 2 // 0, 1, -1, 2 …
			if d%2 == 0 {
				octaves = -octaves
			}
			if u.fits(octaves) && !yield(octaves) {
				return
			}
		}
	}
}

func (u *unit) fits(octaves int) bool {
	return !slices.ContainsFunc(u.tones, func(t *score.Tone) bool { return !u.keys.Has(t.First().Pitch.MIDI() + 12*octaves) })
}

type refit struct {
	source *score.Score
	tones  []score.Tone
	tower  *instrument.Tower
	moves  map[*score.Note]*unit // what does not stay
}

// lines are the tones of each voice of a keyboard, in time order. Pitches are
// keys as written, whatever a part transposes by.
func (r *refit) lines(k check.Keyboard) [][]*score.Tone {
	voices := map[int][]*score.Tone{}
	for i := range r.tones {
		n := r.tones[i].First()
		if r.source.Parts[r.tones[i].Part].ID == k.Part && n.Staff == k.Staff && n.Plays() {
			voices[n.Voice] = append(voices[n.Voice], &r.tones[i])
		}
	}
	var lines [][]*score.Tone
	for _, v := range slices.Sorted(maps.Keys(voices)) {
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

// place moves a phrase as one where an octave has all of its keys, else its
// notes one by one.
func (r *refit) place(phrase []*score.Tone, keys instrument.Compass) {
	u := &unit{tones: phrase, keys: keys}
	if r.nearest(u) {
		return
	}
	for _, t := range phrase {
		u := &unit{tones: []*score.Tone{t}, keys: keys, alone: true}
		if !r.nearest(u) {
			u.gone = true
			r.move(u, 0)
		}
	}
}

// nearest moves u to the nearest octave that has all of it, if there is one.
func (r *refit) nearest(u *unit) bool {
	for octaves := range u.octavesNear() {
		if octaves != 0 {
			r.move(u, octaves)
		}
		return true
	}
	return false
}

func (r *refit) move(u *unit, octaves int) {
	u.octaves = octaves
	for _, t := range u.tones {
		for _, p := range t.Pieces {
			r.moves[p.Note] = u
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
			if slices.ContainsFunc(pointers(m), func(n *score.Note) bool { return r.moves[n] != nil }) {
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
		note := *n
		if moved := r.moves[n]; moved != nil {
			if moved.gone {
				continue
			}
			note.Pitch = n.Pitch.Octaves(moved.octaves)
		}
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
	for i := range r.tones {
		t := &r.tones[i]
		n, at := t.First(), t.Pieces[0].Measure
		m := r.moves[n]
		if m == nil {
			continue
		}
		part := r.source.Parts[t.Part]
		c := Change{
			Place: score.Place{Part: part.ID, Measure: part.Measures[at].Number, Beat: score.BeatName(t.Onset.Sub(starts[at]), beats[at])},
			Note:  n.Pitch.String(), Octaves: m.octaves, Alone: m.alone && !m.gone,
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
