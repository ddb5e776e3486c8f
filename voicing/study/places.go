package study

import (
	"slices"

	"undersong/score"
	"undersong/voicing/harmony"
)

// places names moments of a score.
type places struct {
	score  *score.Score
	starts []score.Time
	beats  [][]score.Time
}

func newPlaces(s *score.Score) *places { return &places{s, s.Starts(), s.Beats()} }

// measureAt is the index of the measure that t falls in; the end of the piece
// is in the last.
func (p *places) measureAt(t score.Time) int {
	i, found := slices.BinarySearchFunc(p.starts, t, score.Time.Cmp)
	if !found {
		i--
	}
	return max(0, min(i, len(p.starts)-2))
}

// beatAt are the bounds of the beat that t falls in.
func (p *places) beatAt(t score.Time) (from, to score.Time) {
	i := p.measureAt(t)
	from = p.starts[i]
	for _, b := range p.beats[i] {
		if to = from.Add(b); t.Less(to) {
			return from, to
		}
		from = to
	}
	from = from.Add(t.Sub(from).Floor(score.Quarter)) // past its time signature, on in quarters
	return from, from.Add(score.Quarter)
}

// name is the printed number of the measure that t falls in, and the beat.
func (p *places) name(t score.Time) (measure, beat string) {
	i := p.measureAt(t)
	return p.score.MeasureNumber(i), score.BeatName(t.Sub(p.starts[i]), p.beats[i])
}

// measures are those from one to another, by index.
func (p *places) measures(first, last int) Measures {
	return Measures{p.score.MeasureNumber(first), p.score.MeasureNumber(last)}
}

// span are the measures from one moment until just before another.
func (p *places) span(from, to score.Time) Span {
	last := p.measureAt(to)
	if last > 0 && p.starts[last] == to {
		last--
	}
	return Span{p.measures(p.measureAt(from), last), fraction(from), fraction(to)}
}

func (p *places) chord(h harmony.Span) Chord {
	c := Chord{From: fraction(h.From), To: fraction(h.To), Name: harmony.Name(h.Chord), Kind: h.Chord.Kind, Given: h.Given}
	c.Measure, c.Beat = p.name(h.From)
	if h.Chord.HasRoot {
		c.Root = h.Chord.Root.Step.String() + h.Chord.Root.Alter.String()
	}
	if h.Chord.HasBass {
		c.Bass = h.Chord.Bass.Step.String() + h.Chord.Bass.Alter.String()
	}
	return c
}
