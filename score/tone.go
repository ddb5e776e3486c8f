package score

import (
	"cmp"
	"slices"
)

// Tone is a note as it sounds: with everything tied to it one note, at
// concert pitch, timed from the start of the piece as written.
type Tone struct {
	Part   int // index in the score
	Onset  Time
	Length Time // zero for a grace note
	Pitch  Pitch
	Pieces []Piece // the written notes it is tied together from, in order
}

// Piece is one written note of a tone.
type Piece struct {
	Measure int // index in the part
	Note    *Note
}

// First is the written note that is struck.
func (t *Tone) First() *Note { return t.Pieces[0].Note }

// End is where t stops as written.
func (t *Tone) End() Time { return t.Onset.Add(t.Length) }

// Tones are all pitched notes of the score, cue and hidden ones too, by
// onset; of those at one onset first the grace notes, in document order, then
// the others from low to high. A note tied to the one before joins it
// when it is of the same pitch and begins where that one ends.
func (s *Score) Tones() []Tone {
	starts := s.Starts()
	notes := 0
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			notes += len(m.Notes)
		}
	}
	tones, pieces := make([]Tone, 0, notes), make([]Piece, notes)
	for i, p := range s.Parts {
		tones = p.appendTones(tones, pieces[len(tones):], i, starts)
	}
	slices.SortStableFunc(tones, func(a, b Tone) int {
		return cmp.Or(a.Onset.Cmp(b.Onset), cmp.Compare(a.height(), b.height()))
	})
	return tones
}

// height orders the tones of one onset.
func (t *Tone) height() int {
	if t.First().Grace {
		return -1
	}
	return t.Pitch.MIDI()
}

// tiePoint is where a tone of one written pitch waits for its next piece.
type tiePoint struct {
	pitch Pitch
	end   Time
}

// appendTones appends the tones of a part; pieces is room for the first piece of
// each.
func (p *Part) appendTones(tones []Tone, pieces []Piece, index int, starts []Time) []Tone {
	open := map[tiePoint][]int{}                      // indexes in tones
	transposed := make([]TransposeChange, p.Staves+1) // what holds, staff by staff
	for i, m := range p.Measures {
		for _, n := range inTime(m.Notes) {
			if n.Kind != Pitched {
				continue
			}
			onset := starts[i].Add(n.Onset)
			at := tiePoint{n.Pitch, onset}
			var t int
			if waiting := open[at]; len(waiting) > 0 && n.TieStop && !n.Grace {
				k := sameVoice(tones, waiting, n)
				t = waiting[k]
				open[at] = slices.Delete(waiting, k, k+1)
				tones[t].Length = tones[t].Length.Add(n.Length)
				tones[t].Pieces = append(tones[t].Pieces, Piece{i, n})
			} else {
				t = len(tones)
				by := m.transposition(transposed, n)
				pieces[0] = Piece{i, n}
				tones = append(tones, Tone{
					Part: index, Onset: onset, Length: n.Length,
					Pitch: n.Pitch.Transpose(by.Letters, by.Semitones), Pieces: pieces[:1:1],
				})
				pieces = pieces[1:]
			}
			if n.TieStart && !n.Grace {
				end := tiePoint{n.Pitch, tones[t].End()}
				open[end] = append(open[end], t)
			}
		}
		change(transposed, m.Transposes)
	}
	return tones
}

// sameVoice picks, of the tones that wait for a piece, the one in n's voice,
// or the first: a tie may pass from one voice to another.
func sameVoice(tones []Tone, waiting []int, n *Note) int {
	for k, t := range waiting {
		pieces := tones[t].Pieces
		if last := pieces[len(pieces)-1].Note; last.Voice == n.Voice && last.Staff == n.Staff {
			return k
		}
	}
	return 0
}

// inTime is notes by onset, in document order where they start together.
func inTime(notes []Note) []*Note {
	sorted := make([]*Note, len(notes))
	for i := range notes {
		sorted[i] = &notes[i]
	}
	slices.SortStableFunc(sorted, func(a, b *Note) int { return a.Onset.Cmp(b.Onset) })
	return sorted
}

// transposition is what holds for n, where before held, staff by staff, when
// the measure began.
func (m *Measure) transposition(before []TransposeChange, n *Note) Transposition {
	t := before[n.Staff].Transposition
	for _, c := range m.Transposes {
		if (c.Staff == 0 || c.Staff == n.Staff) && !n.Onset.Less(c.Onset) {
			t = c.Transposition
		}
	}
	return t
}
