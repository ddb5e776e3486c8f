package voicing

import (
	"slices"

	"undersong/instrument"
	"undersong/score"
)

// Arrangement is a score on its way to the tower. Passes change it; the
// source and the tower stay as they are.
type Arrangement struct {
	Source *score.Score
	Tower  *instrument.Tower
	Line   Line // the melody
	// Notes are the tones of the source, each with what became of it, by
	// onset and then from low to high in the source.
	Notes []*Note
	// Directions and Chords are what is written over and under the staves of
	// the result.
	Directions []Placed
	Chords     []PlacedChord

	melodyOn   Keyboard
	leftOut    map[score.Source]bool // carried signs without a place in the result
	over       map[written]bool      // what stands over the staves already
	renumbered map[score.Source]int  // new numbers of slurs and other lines
	starts     []score.Time          // onsets of the measures, and the end
	beats      [][]score.Time        // the beats of each measure
	report     *Report
	pass       string // the name of the pass at work, for the report
}

// Role is what a note does in the music.
type Role int8

// The roles of notes.
const (
	Accompaniment Role = iota
	Melody
	Bass
)

// Keyboard is where a note is played.
type Keyboard int8

// The keyboards; Nowhere is a note that is not played.
const (
	Nowhere Keyboard = iota
	Manual
	Pedals
)

// plural is what the keyboard's keys are called.
func (k Keyboard) plural() string { return [...]string{"keys", "keys", "pedals"}[k] }

// String is the keyboard's name.
func (k Keyboard) String() string { return [...]string{"nowhere", "manual", "pedals"}[k] }

// Note is one tone of the source and its place in the result.
type Note struct {
	score.Tone            // as in the source
	Role       Role       // what it does in the music
	Keyboard   Keyboard   // where it is played; Nowhere until it is placed
	Octaves    int        // how far it is moved
	Written    score.Time // the length written in the result
	LeftOut    string     // why it is not played; "" when it is
}

// Placed is a direction in a measure of the result.
type Placed struct {
	Measure int
	score.Direction
}

// PlacedChord is a chord symbol in a measure of the result.
type PlacedChord struct {
	Measure int
	score.ChordSymbol
}

// Grace tells whether n is an ornament without time of its own.
func (n *Note) Grace() bool { return n.First().Grace }

// PlacedPitch is the pitch in the result.
func (n *Note) PlacedPitch() score.Pitch { return n.Pitch.Octaves(n.Octaves) }

// Key is the MIDI number of the key or pedal in the result.
func (n *Note) Key() int { return n.PlacedPitch().MIDI() }

// newArrangement takes every tone of s in hand, unplaced.
func newArrangement(s *score.Score, tower *instrument.Tower) *Arrangement {
	a := &Arrangement{
		Source: s, Tower: tower,
		leftOut: map[score.Source]bool{}, over: map[written]bool{}, renumbered: map[score.Source]int{},
		starts: s.Starts(), beats: measureBeats(s), report: &Report{Changes: []Change{}, Findings: []Finding{}},
	}
	tones := s.Tones()
	a.Line = FindMelody(s, tones)
	for _, t := range tones {
		a.Notes = append(a.Notes, &Note{Tone: t, Written: t.Length})
	}
	for _, i := range a.Line.Tones {
		a.Notes[i].Role = Melody
	}
	return a
}

// keys is the compass of a keyboard.
func (a *Arrangement) keys(k Keyboard) instrument.Compass {
	if k == Pedals {
		return a.Tower.Pedals
	}
	return a.Tower.Manual
}

// with are the notes of a role that are not left out, in time order.
func (a *Arrangement) with(role Role) []*Note {
	return a.where(func(n *Note) bool { return n.Role == role && n.LeftOut == "" })
}

func (a *Arrangement) where(chosen func(*Note) bool) []*Note {
	var notes []*Note
	for _, n := range a.Notes {
		if chosen(n) {
			notes = append(notes, n)
		}
	}
	return notes
}

// together parts notes that are in time order into those struck at one
// moment. Grace notes, which are struck before it, are left aside.
func together(notes []*Note) [][]*Note {
	var strikes [][]*Note
	for _, n := range notes {
		last := len(strikes) - 1
		switch {
		case n.Grace():
		case last >= 0 && strikes[last][0].Onset == n.Onset:
			strikes[last] = append(strikes[last], n)
		default:
			strikes = append(strikes, []*Note{n})
		}
	}
	return strikes
}

// measureBeats are the beats of each measure of s by the time signature in
// force; an unmeasured passage has none and is counted in quarters.
func measureBeats(s *score.Score) [][]score.Time {
	var beats [][]score.Time
	var now []score.Time
	for i := range s.MeasureCount() {
		for _, p := range s.Parts {
			if i < len(p.Measures) && len(p.Measures[i].Times) > 0 {
				now = p.Measures[i].Times[0].Time.Beats()
				break
			}
		}
		beats = append(beats, now)
	}
	return beats
}

// measureAt is the index of the measure that t falls in.
func (a *Arrangement) measureAt(t score.Time) int {
	i, found := slices.BinarySearchFunc(a.starts, t, score.Time.Cmp)
	if !found {
		i--
	}
	return min(i, len(a.starts)-2)
}

// beatStart is where the beat begins that t falls in. An unmeasured passage
// is counted in quarters.
func (a *Arrangement) beatStart(t score.Time) score.Time {
	i := a.measureAt(t)
	at := a.starts[i]
	for _, b := range a.beats[i] {
		next := at.Add(b)
		if t.Less(next) {
			return at
		}
		at = next
	}
	return at.Add(t.Sub(at).Floor(score.Quarter))
}

// struckAt are the notes struck at a moment, without those left out and
// without grace notes.
func (a *Arrangement) struckAt(t score.Time) []*Note {
	i, _ := slices.BinarySearchFunc(a.Notes, t, func(n *Note, t score.Time) int { return n.Onset.Cmp(t) })
	var struck []*Note
	for ; i < len(a.Notes) && a.Notes[i].Onset == t; i++ {
		if n := a.Notes[i]; n.LeftOut == "" && !n.Grace() {
			struck = append(struck, n)
		}
	}
	return struck
}
