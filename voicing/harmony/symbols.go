package harmony

import (
	"slices"

	"undersong/score"
)

// given are the chord symbols of a score that say a chord, or that there is
// none, each until the next symbol. Of several at one moment the first that
// says something counts; of several parts the first that has symbols.
func given(s *score.Score, k Key) []Span {
	starts := s.Starts()
	end := starts[len(starts)-1]
	for _, p := range s.Parts {
		spans := make([]Span, 0, chordsOf(p))
		by, written := score.Transposition{}, k
		for i, m := range p.Measures {
			for _, t := range m.Transposes {
				by = t.Transposition
			}
			for _, c := range m.Keys {
				if !c.Key.Free {
					written = Key{within7(c.Key.Fifths), c.Key.Mode == "minor" || c.Key.Mode == "" && k.Minor}
				}
			}
			for _, c := range m.Chords {
				at := score.Min(starts[i].Add(c.Onset), starts[i+1])
				c = rooted(c, written)
				c.Root, c.Bass = concert(c.Root, by), concert(c.Bass, by)
				spans = append(spans, Span{From: at, To: end, Chord: InKey(c, k), Given: true, Fit: 1})
			}
		}
		if len(spans) > 0 {
			return held(spans) // further parts repeat what the first has
		}
	}
	return nil
}

// chordsOf is how many chord symbols a part has.
func chordsOf(p *score.Part) int {
	n := 0
	for _, m := range p.Measures {
		n += len(m.Chords)
	}
	return n
}

// held lets each symbol hold until the next, and leaves out those that say
// nothing.
func held(spans []Span) []Span {
	slices.SortStableFunc(spans, func(a, b Span) int { return a.From.Cmp(b.From) })
	says := make([]Span, 0, len(spans))
	for i := 0; i < len(spans); {
		at, said := spans[i].From, false
		if n := len(says) - 1; n >= 0 && at.Less(says[n].To) {
			says[n].To = at
		}
		for ; i < len(spans) && spans[i].From == at; i++ {
			if !said && at.Less(spans[i].To) && (saysChord(spans[i].Chord) || noChord(spans[i].Chord)) {
				says, said = append(says, spans[i]), true
			}
		}
	}
	return says
}

// saysChord tells whether a symbol says a chord. One of kind "none" does not (see
// [noChord]); nor one without a root, or of a kind that MusicXML does not have.
func saysChord(c score.ChordSymbol) bool { return c.HasRoot && tonesOf(c.Kind) != nil }

func concert(p score.Pitch, by score.Transposition) score.Pitch {
	p = p.Transpose(by.Letters, by.Semitones)
	p.Octave = 0
	return p
}

// overlay puts the spans of over, which are in order, in the place of what
// they cover of spans.
func overlay(spans, over []Span) []Span {
	all := slices.Clone(over)
	first := 0
	for _, s := range spans {
		for first < len(over) && !s.From.Less(over[first].To) {
			first++
		}
		for i := first; i < len(over) && over[i].From.Less(s.To); i++ {
			if s.From.Less(over[i].From) {
				before := s
				before.To = over[i].From
				all = append(all, before)
			}
			s.From = score.Max(s.From, over[i].To)
		}
		if s.From.Less(s.To) {
			all = append(all, s)
		}
	}
	slices.SortFunc(all, func(a, b Span) int { return a.From.Cmp(b.From) })
	return all
}
