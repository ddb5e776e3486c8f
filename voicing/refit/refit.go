// Package refit moves a carillon score to another tower without arranging it
// anew: what has a key stays as it is, and so do all measures in which nothing
// has to move. A phrase that lacks a key goes to the nearest octave that has all
// of it, or to one where hands and feet can follow if there they could not; what
// is then no longer above or below it as it was moves too, if that mends it.
//
// It thins nothing but notes that come to strike one key. What a player cannot do
// then, and what is still the wrong way round, is told.
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
	// Octaves is the move, by which a phrase moves, or a part of one.
	Octaves int `json:"octaves,omitempty"`
	// Alone is set where the rest of the phrase goes elsewhere.
	Alone bool `json:"alone,omitempty"`
	// Merged is set where another note strikes that key then, and is kept.
	Merged bool `json:"merged,omitempty"`
	Melody bool `json:"melody,omitempty"` // the score marks it as a note of its melody or of an interlude

	index int // of the measure
}

// Report is what a refit did. Its fields are stable.
type Report struct {
	Version int      `json:"version"` // of this form: 1
	Moved   []Change `json:"moved"`
	// Unplayable is what hands and feet cannot do of the result.
	Unplayable []check.Finding `json:"unplayable"`
	// Crossed is the moments at which a note is struck that was over another one
	// which sounds, or under it, and now is not.
	Crossed []score.Place `json:"crossed"`
}

// Score is s for a tower, and what moved. The measures in which nothing did are
// those of s. It fails where nothing is to be struck, or the tempo is no tempo.
func Score(s *score.Score, t *instrument.Tower) (*score.Score, *Report, error) {
	r := newRefit(s, t)
	for _, k := range check.Keyboards(s) {
		keys := t.Manual
		if k.Pedals {
			keys = t.Pedals
		}
		for _, phrase := range r.phrasesOn(k) {
			r.place(phrase, keys)
		}
	}
	if err := r.settle(); err != nil {
		return nil, nil, err
	}
	r.merge()
	out := r.score()
	report := &Report{Version: 1, Moved: r.changes(), Unplayable: []check.Finding{}, Crossed: r.crossed()}
	found, err := check.Playable(out, t)
	for _, f := range found {
		if f.Impossible() {
			report.Unplayable = append(report.Unplayable, f)
		}
	}
	return out, report, err
}

// refit is a score on its way to a tower.
type refit struct {
	source *score.Score
	tones  []score.Tone
	tower  *instrument.Tower
	units  []*unit                       // of each tone; nil of what no key is struck for
	merged []bool                        // tones whose key another one strikes
	into   map[*score.Note][]*score.Note // what they were merged into, and they

	phrases [][]int // tones
	starts  []score.Time
	beats   [][]score.Time
}

func newRefit(s *score.Score, t *instrument.Tower) *refit {
	r := &refit{source: s, tones: s.Tones(), tower: t, starts: s.Starts(), beats: s.Beats()}
	r.units, r.merged = make([]*unit, len(r.tones)), make([]bool, len(r.tones))
	return r
}

// unit is what moves as one: a phrase, a part of one, or a note.
type unit struct {
	tones   []int // in time order
	keys    instrument.Compass
	octaves int
	gone    bool // no octave has it
}

// pitch is the key of a tone in the source: as written, whatever its part
// transposes by.
func (r *refit) pitch(tone int) score.Pitch { return r.tones[tone].First().Pitch }

// key is the MIDI number of the key that a tone strikes.
func (r *refit) key(tone int) int { return r.pitch(tone).MIDI() + 12*r.units[tone].octaves }

// fits tells whether all of u has keys when it is moved.
func (r *refit) fits(u *unit, octaves int) bool {
	for _, i := range u.tones {
		if !u.keys.Has(r.pitch(i).MIDI() + 12*octaves) {
			return false
		}
	}
	return true
}

// own makes u the unit of its tones.
func (r *refit) own(u *unit) {
	for _, i := range u.tones {
		r.units[i] = u
	}
}

// changes lists what moved, in time order.
func (r *refit) changes() []Change {
	alone := r.alone()
	changes := []Change{}
	for i := range r.tones {
		u := r.units[i]
		if u == nil || u.octaves == 0 && !u.gone && !r.merged[i] {
			continue
		}
		p := r.pitch(i)
		c := Change{Place: r.placeOf(i), Note: p.String(), Melody: r.tones[i].First().Leads(), index: r.tones[i].Pieces[0].Measure}
		if !u.gone {
			c.To, c.Octaves, c.Alone, c.Merged = p.Octaves(u.octaves).String(), u.octaves, alone[i], r.merged[i]
		}
		changes = append(changes, c)
	}
	return changes
}

// alone tells of each tone whether the rest of its phrase goes elsewhere.
func (r *refit) alone() []bool {
	alone := make([]bool, len(r.tones))
	for _, phrase := range r.phrases {
		same := !slices.ContainsFunc(phrase, func(i int) bool {
			u, first := r.units[i], r.units[phrase[0]]
			return u.octaves != first.octaves || u.gone
		})
		for _, i := range phrase {
			alone[i] = !same
		}
	}
	return alone
}

// placeOf is where a tone stands.
func (r *refit) placeOf(tone int) score.Place {
	t := &r.tones[tone]
	p, at := r.source.Parts[t.Part], t.Pieces[0].Measure
	return score.Place{Part: p.ID, Measure: p.Measures[at].Number, Beat: score.BeatName(t.Onset.Sub(r.starts[at]), r.beats[at])}
}

// Counts is how many notes were left out, moved without the rest of their
// phrase, and became one with another note.
func Counts(changes []Change) (gone, alone, merged int) {
	for _, c := range changes {
		switch {
		case c.To == "":
			gone++
		case c.Merged:
			merged++
		case c.Alone:
			alone++
		}
	}
	return gone, alone, merged
}

// String is the change in a line.
func (c Change) String() string {
	switch {
	case c.To == "":
		return fmt.Sprintf("%s: %s has no key in any octave and is left out", c.Place, c.Note)
	case c.Merged:
		return fmt.Sprintf("%s: %s becomes one with another %s", c.Place, c.Note, c.To)
	case c.Alone:
		return fmt.Sprintf("%s: %s becomes %s without the rest of its phrase", c.Place, c.Note, c.To)
	}
	return fmt.Sprintf("%s: %s becomes %s with its phrase", c.Place, c.Note, c.To)
}
