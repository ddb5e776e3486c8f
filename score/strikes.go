package score

import (
	"cmp"
	"slices"
)

// Performed is a score as it is played: every stroke at its time.
type Performed struct {
	// Order is the measures in the order of [Score.Performance], Starts where
	// they begin, and at last where the piece ends. Starts[0] is not zero when
	// grace notes come before the first beat.
	Order  []Played
	Starts []Time
	// Score is the score written out: its measure i is the i-th of Order.
	Score   *Score
	Strikes []Strike // by time, then from low to high
	Tempi   []Tempo  // by time, no two at one moment; the first at 0
}

// Strike is one stroke. Times count from the beginning of what is played.
type Strike struct {
	Onset Time
	// Length is the written one, tied notes together; a bell rings on.
	Length Time
	Pitch  Pitch // at concert pitch
	// Transposed is how many semitones Pitch is above what is written.
	Transposed int
	Part       int
	Measure    int   // index in Performed.Order
	Note       *Note // what is written in the score, of tied notes the first
}

// End is where the written length of t ends.
func (t *Strike) End() Time { return t.Onset.Add(t.Length) }

// Performed is s as it is played: repeats and jumps followed, tied notes struck
// once, ornaments played out. Cue and hidden notes are not played. What
// notation leaves to the player is done plainly and always alike (our choice,
// no source):
//
//   - Grace notes are 32nd notes before the beat, those of one chord together.
//   - Trills and tremolos are 32nd notes. A trill begins on its main note and
//     goes to the next step of the key signature, a tremolo of two notes begins
//     on the first; how many strokes a tremolo's beams ask for does not matter.
//   - Mordents and turns are 32nd notes from the beat on, shorter ones where
//     the note has no time for them; delayed turns and other ornaments are not
//     played.
//   - An arpeggio goes up from the beat in 64th notes, faster where its
//     shortest note would end before its last begins.
//   - A fermata halves the tempo while its note or rest lasts; of several that
//     overlap the one that begins last counts, and the shortest of these.
//     One on a barline does nothing.
//   - A tempo holds until the next; where a jump lands it is the one that
//     holds there as written. The first one is that of [Score.Clock].
//
// The errors are those of [Score.WrittenOut].
func (s *Score) Performed() (*Performed, error) {
	order, err := s.Performance()
	if err != nil {
		return nil, err
	}
	written, err := s.WrittenOut()
	if err != nil {
		return nil, err
	}
	p := &Performed{Order: order, Score: written, Starts: written.Starts()}
	p.strike(s)
	placeGraces(p.Strikes)
	spreadArpeggios(p.Strikes)
	p.beginAtZero()
	slices.SortStableFunc(p.Strikes, func(a, b Strike) int {
		return cmp.Or(a.Onset.Cmp(b.Onset), cmp.Compare(a.Pitch.MIDI(), b.Pitch.MIDI()))
	})
	p.Tempi = p.tempi(s)
	return p, nil
}

// strike collects the strokes of all tones, ornaments played out, all others
// where they are written.
func (p *Performed) strike(s *Score) {
	keys := make([]*keyLine, len(s.Parts))
	sources := make([]map[*Note]*Note, len(s.Parts))
	for i, part := range p.Score.Parts {
		keys[i] = newKeyLine(part, p.Starts)
		sources[i] = part.sources(s.Parts[i], p.Order)
	}
	for _, t := range p.Score.Tones() {
		if !t.First().Plays() {
			continue
		}
		for _, strike := range t.strikes(keys[t.Part]) {
			strike.Note = sources[t.Part][t.First()]
			p.Strikes = append(p.Strikes, strike)
		}
	}
}

// sources finds, for every note of the part written out, the note of the part
// as written.
func (p *Part) sources(as *Part, order []Played) map[*Note]*Note {
	from := map[*Note]*Note{}
	for i, m := range p.Measures {
		k := 0
		source := as.Measures[order[i].Measure]
		for j := range source.Notes {
			n := &source.Notes[j]
			if k < len(m.Notes) && (m == source || onlyAt(n.TimeOnly, order[i].Through)) {
				from[&m.Notes[k]] = n
				k++
			}
		}
	}
	return from
}

// strikes are the strokes of one tone, without the note they come from.
func (t *Tone) strikes(keys *keyLine) []Strike {
	first := t.First()
	by := Transposition{
		Letters:   t.Pitch.Diatonic() - first.Pitch.Diatonic(),
		Semitones: t.Pitch.MIDI() - first.Pitch.MIDI(),
	}
	plain := Strike{
		Onset: t.Onset, Length: t.Length, Pitch: t.Pitch, Transposed: by.Semitones,
		Part: t.Part, Measure: t.Pieces[0].Measure,
	}
	if first.Grace {
		return []Strike{plain}
	}
	step := func(letters int) Pitch {
		if letters == 0 {
			return plain.Pitch
		}
		return keys.step(first, t.Onset, letters).Transpose(by.Letters, by.Semitones)
	}
	for _, n := range t.Pieces {
		for _, m := range n.Note.Marks {
			if all := m.playedOut(plain, step); all != nil {
				return all
			}
		}
	}
	return []Strike{plain}
}

// beginAtZero moves everything so that nothing is struck before time 0.
func (p *Performed) beginAtZero() {
	var earliest Time
	for i := range p.Strikes {
		earliest = Min(earliest, p.Strikes[i].Onset)
	}
	if earliest.Sign() == 0 {
		return
	}
	for i := range p.Strikes {
		p.Strikes[i].Onset = p.Strikes[i].Onset.Sub(earliest)
	}
	for i := range p.Starts {
		p.Starts[i] = p.Starts[i].Sub(earliest)
	}
}
