package notation

import "undersong/score"

// longestTuplet is the number of notes after which a tuplet must be over.
const longestTuplet = 128

// keptSpans finds where the score has whole tuplets: notes in a row, of one
// ratio, that make up as many as it says of one plain value. Tuplets inside,
// one level of them, count as one value.
func keptSpans(chords []chord) []span {
	var spans []span
	for i := 0; i < len(chords); {
		s, n := keptSpan(chords[i:])
		if n > 1 {
			spans = append(spans, s)
		}
		i += max(n, 1)
	}
	return spans
}

// keptSpan is the tuplet that chords begin with, and how many it takes.
func keptSpan(chords []chord) (s span, n int) {
	c := &chords[0]
	s = span{from: c.from, ratio: c.outermost(), kept: true}
	if s.ratio == (score.Ratio{}) || c.kind == grace || !dyadic(s.from) {
		return span{}, 0
	}
	f := filling{s.from, s.from, s.ratio, longest}
	for n < min(len(chords), longestTuplet) {
		c := &chords[n]
		if c.kind == grace {
			n++
			continue
		}
		to, took := c.to, 1
		switch {
		case c.outermost() != s.ratio:
			return span{}, 0
		case c.nested():
			in, count := s.keptInside(chords[n:])
			if count == 0 {
				return span{}, 0
			}
			s.inner = append(s.inner, in)
			to, took = s.toReal(in.to), count
		}
		n += took
		whole, fits := f.add(c.from, to)
		if !fits {
			return span{}, 0
		}
		if whole {
			s.to = to
			return s, n
		}
	}
	return span{}, 0
}

// keptInside is the tuplet in s that chords begin with, and how many it
// takes.
func (s *span) keptInside(chords []chord) (in span, n int) {
	first := &chords[0]
	from := s.toWritten(first.from)
	f := filling{from, from, inside(first.ratio(), s.ratio), longest}
	if f.ratio.Actual == f.ratio.Normal {
		return span{}, 0
	}
	for n, c := range chords[:min(len(chords), longestTuplet)] {
		if c.kind == grace {
			continue
		}
		if c.ratio() != first.ratio() || c.outer() != s.ratio {
			return span{}, 0
		}
		whole, fits := f.add(s.toWritten(c.from), s.toWritten(c.to))
		if !fits {
			return span{}, 0
		}
		if whole {
			return span{from: from, to: f.at, ratio: f.ratio, kept: true}, n + 1
		}
	}
	return span{}, 0
}

// filling is a tuplet that is not full yet.
type filling struct {
	from, at score.Time
	ratio    score.Ratio
	least    int // the power of its shortest value
}

// add adds what goes from one moment to another, and tells whether the tuplet
// is whole then, and whether it fits at all.
func (f *filling) add(from, to score.Time) (whole, fits bool) {
	v, fits := valueOf(scale(to.Sub(from), f.ratio))
	if !fits || from != f.at {
		return false, false
	}
	f.at, f.least = to, min(f.least, v.power)
	unit, plain := valueOf(scale(f.at.Sub(f.from), f.ratio).Mul(1, int64(f.ratio.Actual)))
	return plain && unit.dots == 0 && unit.power >= f.least && dyadic(f.at), true
}

// nested tells whether the score has c in a tuplet inside another.
func (c *chord) nested() bool { return c.outer() != score.Ratio{} && c.outer() != c.ratio() }

// outermost is the ratio of the tuplet around all tuplets that the score has
// c in.
func (c *chord) outermost() score.Ratio {
	if c.nested() {
		return c.outer()
	}
	return c.ratio()
}
