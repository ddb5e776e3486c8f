// Package model scores every note of a piece by how likely it belongs to the
// melody and chains the likeliest into one line. It serves package melody,
// which knows of parts, lyrics and overrules, and the fitting program.
//
// Everything after the fit is integer arithmetic, so that all machines agree.
package model

import (
	"slices"

	"undersong/score"
)

// quarter is the number of ticks in a quarter note. Onsets that are no whole
// number of ticks are rounded down: ticks serve comparison, the exact times
// stay with the tones.
const quarter = 10080

// Quarter is the same for the fitting program.
const Quarter = quarter

// Note is a note that can be melody: seen, struck, with a length.
type Note struct {
	Tone    int // its index among the score's tones
	On, End int // in ticks
	Pitch   int // MIDI
	Hand    int // its staff, counted from the top over all parts
	Voice   int
	Measure int
	Beat    int // ticks since the start of its measure
}

// Length is the note's length in ticks.
func (n *Note) Length() int { return n.End - n.On }

// Group is the notes struck together: Notes[First:Last].
type Group struct{ First, Last int }

// Music is the notes of a piece by onset, then from low to high, no two of
// them the same key at the same time.
type Music struct {
	Notes  []Note
	Groups []Group
}

// New gathers the notes among tones that can be melody.
func New(s *score.Score, tones []score.Tone) *Music {
	m := &Music{Notes: make([]Note, 0, len(tones))}
	starts := s.Starts()
	above := stavesAbove(s)
	for i := range tones {
		t := &tones[i]
		n := t.First()
		if !CanBeMelody(t) {
			continue
		}
		on, start := Ticks(t.Onset), Ticks(starts[t.Pieces[0].Measure])
		m.add(Note{
			Tone: i, On: on, End: Ticks(t.End()), Pitch: t.Pitch.MIDI(), Hand: above[t.Part] + n.Staff - 1,
			Voice: n.Voice, Measure: t.Pieces[0].Measure, Beat: on - start,
		})
	}
	m.group()
	return m
}

// FromNotes is the music of notes in any order, no two of them the same key
// at the same time.
func FromNotes(notes []Note) *Music {
	m := &Music{Notes: notes}
	m.group()
	return m
}

// Ticks is the number of ticks in t, rounded down.
func Ticks(t score.Time) int {
	whole, rest := t.Num()/t.Den(), t.Num()%t.Den()
	return int(whole*quarter + rest*quarter/t.Den())
}

// CanBeMelody tells whether t is struck by the player, can be seen and has a
// length: no hidden, cue or grace note.
func CanBeMelody(t *score.Tone) bool {
	n := t.First()
	return n.Plays() && !n.Grace && t.Length.Sign() > 0
}

// add appends n, or lengthens the note that strikes the same key already.
func (m *Music) add(n Note) {
	n.End = max(n.End, n.On+1)
	if last := len(m.Notes) - 1; last >= 0 && m.Notes[last].On == n.On && m.Notes[last].Pitch == n.Pitch {
		m.Notes[last].End = max(m.Notes[last].End, n.End)
		return
	}
	m.Notes = append(m.Notes, n)
}

func (m *Music) group() {
	slices.SortStableFunc(m.Notes, func(a, b Note) int {
		if a.On != b.On {
			return a.On - b.On
		}
		return a.Pitch - b.Pitch
	})
	for i := range m.Notes {
		if i == 0 || m.Notes[i].On != m.Notes[i-1].On {
			m.Groups = append(m.Groups, Group{First: i})
		}
		m.Groups[len(m.Groups)-1].Last = i + 1
	}
}

// stavesAbove is, for every part, the number of staves of the parts above it.
func stavesAbove(s *score.Score) []int {
	above := make([]int, len(s.Parts))
	for i := 1; i < len(s.Parts); i++ {
		above[i] = above[i-1] + s.Parts[i-1].Staves
	}
	return above
}
