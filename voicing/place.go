package voicing

import (
	"cmp"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/melody"
)

// Placement is where [Voice] puts the melody of a score.
type Placement struct {
	// Transpose is by how many semitones all is moved first.
	Transpose int
	// Tempo, in quarter notes a minute, is slower than the score's, which is assumed only, so that
	// the melody can be played; 0 keeps the score's.
	Tempo float64
	// Notes has one for each of the melody's, in its order.
	Notes []PlacedNote
	// Elsewhere are stretches of the melody that are not where the voicing wants them, in
	// their order.
	Elsewhere []Elsewhere

	keys    *otherKeys
	trouble float64
}

// Elsewhere is why some notes of the melody are not where their voicing wants them.
type Elsewhere struct {
	First, Last int    // they are Placement.Notes[First:Last]
	At          int    // the note that it lies with
	Why         string // "an octave down the pedals have no D#3"
}

// PlacedNote is where a note of the melody goes.
type PlacedNote struct {
	Octaves int  // by which it is moved
	Pedals  bool // it is of a line in the pedals
	Helped  bool // there a hand strikes it for the feet
	Late    bool // it comes sooner than it can be struck even so
	Lost    bool // it has no key in any octave
}

// Place tells where the melody of s, which is line of its tones, goes in one voicing on a
// tower when all is moved by so many semitones first, or [TransposeAuto]: the same
// judgement as [Voice]'s, whatever becomes of the rest. It does not change s.
func Place(s *score.Score, tones []score.Tone, line melody.Line, tower *instrument.Tower, v Voicing, semitones int) *Placement {
	keys := newOtherKeys(s, tones, line, Options{Tower: tower, Voicing: v}, newFigures(tower))
	if semitones == TransposeAuto {
		semitones, _ = keys.best()
	}
	return keys.placement(semitones)
}

// InBestKey is the same with [TransposeAuto]. It must not be called twice at once.
func (p *Placement) InBestKey() *Placement {
	if p.Transpose == 0 && p.trouble == 0 {
		return p // nothing is in the way, so no other key would be tried
	}
	semitones, _ := p.keys.best()
	if semitones == p.Transpose {
		return p
	}
	return p.keys.placement(semitones)
}

// placement tells where the melody goes some semitones away.
func (k *otherKeys) placement(semitones int) *Placement {
	placed := k.placeIn(semitones)
	placed.seat()
	p := &Placement{Transpose: semitones, Tempo: placed.tempo, keys: k, trouble: placed.trouble}
	at := placed.notes()
	index := map[*note]int{}
	for i, tone := range k.line.Tones {
		n := k.notes[tone]
		to, ok := at[n]
		to.Lost = !ok
		p.Notes = append(p.Notes, to)
		index[n] = i
	}
	for _, e := range k.misplaced(placed.stretches) {
		from := len(p.Elsewhere) // what is one but for jumps is told of each part
		for _, n := range e.notes {
			i, is := index[n]
			if last := len(p.Elsewhere) - 1; is && last >= from && p.Elsewhere[last].Last == i {
				p.Elsewhere[last].Last++
			} else if is {
				p.Elsewhere = append(p.Elsewhere, Elsewhere{i, i + 1, index[e.at], e.why})
			}
		}
	}
	slices.SortFunc(p.Elsewhere, func(e, o Elsewhere) int { return cmp.Compare(e.First, o.First) })
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
