package voicing

import (
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/melody"
)

// Placement is where [Voice] puts the melody of a score.
type Placement struct {
	// Transpose is by how many semitones all is moved first.
	Transpose int
	// Notes has one for each of the melody's, in its order.
	Notes []PlacedNote
}

// PlacedNote is where a note of the melody goes.
type PlacedNote struct {
	Octaves int  // by which it is moved
	Pedals  bool // it is of a line in the pedals
	Helped  bool // there a hand strikes it for the feet
	Late    bool // it comes sooner than it can be struck even so
}

// Place tells where the melody of s, which is line of its tones, goes in one voicing on a
// tower when all is moved by so many semitones first, or [TransposeAuto]: the same
// judgement as [Voice]'s, whatever becomes of the rest. It does not change s.
func Place(s *score.Score, tones []score.Tone, line melody.Line, tower *instrument.Tower, v Voicing, semitones int) *Placement {
	keys := newOtherKeys(s, tones, line, Options{Tower: tower, Voicing: v}, newFigures(tower))
	if semitones == TransposeAuto {
		semitones, _ = keys.best()
	}
	p := &Placement{Transpose: semitones}
	at := keys.placeIn(semitones).notes()
	for _, i := range line.Tones {
		p.Notes = append(p.Notes, at[keys.notes[i]])
	}
	return p
}

// notes are where the notes of a placing go.
func (p *placing) notes() map[*note]PlacedNote {
	at := map[*note]PlacedNote{}
	for i, stretch := range p.stretches {
		w := &p.chosen[i]
		for _, n := range stretch {
			at[n] = PlacedNote{Octaves: w.octaves, Pedals: w.seat == feet, Helped: slices.Contains(w.helped, n), Late: slices.Contains(w.late, n)}
		}
	}
	return at
}
