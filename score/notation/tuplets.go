package notation

import (
	"slices"
	"sort"

	"undersong/score"
)

// span is a stretch of a voice that is written as a tuplet, in the times of
// the meter's grid.
type span struct {
	from, to score.Time
	ratio    score.Ratio
	kept     bool   // as the score writes it
	inner    []span // tuplets inside, in written time
}

// written is s as one cell of written time, which counts from its start.
func (s *span) written() cell { return cell{to: s.toWritten(s.to)} }

func (s *span) toWritten(t score.Time) score.Time { return scale(t.Sub(s.from), s.ratio) }

func (s *span) toReal(t score.Time) score.Time {
	return t.Mul(int64(s.ratio.Normal), int64(s.ratio.Actual)).Add(s.from)
}

// scale is the written length of t under r.
func scale(t score.Time, r score.Ratio) score.Time { return t.Mul(int64(r.Actual), int64(r.Normal)) }

// bracket tells whether s shows that it is a tuplet. A tremolo of two notes
// is written in twice its length, 2:1, and shows none.
func (s *span) bracket() bool { return s.ratio != score.Ratio{Actual: 2, Normal: 1} }

func doubling(r score.Ratio) bool {
	return r.Normal > 0 && r.Actual%r.Normal == 0 && odd(int64(r.Actual/r.Normal)) == 1
}

// holds tells whether all of c is in s.
func (s *span) holds(c *chord) bool { return !c.from.Less(s.from) && !s.to.Less(c.to) }

// spanAfter is the index of the first of spans that ends after t.
func spanAfter(spans []span, t score.Time) int {
	return sort.Search(len(spans), func(i int) bool { return t.Less(spans[i].to) })
}

// overlapping are the chords that are not over at from and begin before to.
func overlapping(chords []chord, from, to score.Time) []chord {
	first := sort.Search(len(chords), func(i int) bool { return from.Less(chords[i].to) })
	end := sort.Search(len(chords), func(i int) bool { return !chords[i].from.Less(to) })
	return chords[first:max(first, end)]
}

// plain tells whether c needs no tuplet.
func (c *chord) plain() bool { return dyadic(c.from) && dyadic(c.to) }

// spans finds the tuplets of a voice: those that the score has whole, then
// the smallest stretches of the meter for what no plain value fits.
func (m *meter) spans(chords []chord) []span {
	if !slices.ContainsFunc(chords, func(c chord) bool { return !c.plain() || c.ratio() != score.Ratio{} }) {
		return nil
	}
	spans := keptSpans(chords)
	kept := spans
	for i := range chords {
		c := &chords[i]
		if k := spanAfter(kept, c.from); c.kind == grace || c.plain() || k < len(kept) && kept[k].holds(c) {
			continue
		}
		spans = append(spans, m.seeds(c)...)
	}
	for again := true; again; {
		spans = m.merge(spans)
		again = m.grow(spans, chords)
	}
	return slices.DeleteFunc(spans, func(s span) bool { return s.ratio == score.Ratio{} })
}

// seeds are the smallest stretches of the meter that c makes a tuplet of:
// one around it, where it has a value there, or one around each end that
// lies off the plain grid.
func (m *meter) seeds(c *chord) []span {
	if m.wholeIn(c) {
		around := m.around(c.from, c.to)
		return []span{{from: around.from, to: around.to}}
	}
	var seeds []span
	for _, t := range [2]score.Time{c.from, c.to} {
		if !dyadic(t) {
			around := m.aroundPoint(t)
			seeds = append(seeds, span{from: around.from, to: around.to})
		}
	}
	return seeds
}

// wholeIn tells whether c can be one value of a tuplet: of the score's, or of
// the one that its length suggests. Beyond a beat it must lie on a grid of its
// own length, and a length alone suggests no dots.
func (m *meter) wholeIn(c *chord) bool {
	length, r := c.to.Sub(c.from), c.ratio()
	guess := r == (score.Ratio{}) || doubling(r)
	if guess {
		r = score.Ratio{Actual: int(odd(length.Den())), Normal: 1}
	}
	v, ok := valueOf(scale(length, r))
	if !ok || r.Actual == 1 {
		return false
	}
	around := m.around(c.from, c.to)
	if b := m.beat(around.from); !m.beats[b+1].Less(around.to) {
		return true
	}
	at := scale(c.from.Sub(around.from), r)
	return !(guess && v.dots > 0) && at.Floor(v.plain()) == at
}

// aroundPoint is the largest cell of a beat that t divides by odd numbers
// only.
func (m *meter) aroundPoint(t score.Time) cell {
	b := m.beat(t)
	c := cell{from: m.beats[b], to: m.beats[b+1]}
	for {
		length := c.to.Sub(c.from)
		in, ok := c.inner(t, t)
		if share := t.Sub(c.from).Mul(length.Den(), length.Num()); !ok || share.Den()%2 == 1 {
			return c
		}
		c = in
	}
}

// merge sorts spans and joins those that overlap.
func (m *meter) merge(spans []span) []span {
	slices.SortStableFunc(spans, func(a, b span) int { return a.from.Cmp(b.from) })
	joined := spans[:0]
	for _, s := range spans {
		for len(joined) > 0 && s.from.Less(joined[len(joined)-1].to) {
			before := joined[len(joined)-1]
			around := m.around(score.Min(before.from, s.from), score.Max(before.to, s.to))
			s = span{from: around.from, to: around.to}
			joined = joined[:len(joined)-1]
		}
		joined = append(joined, s)
	}
	return joined
}

// grow gives spans their ratios. One that is too short for as many of its
// shortest value as its ratio says becomes longer, where nothing else is in the
// way; grow tells whether one did.
func (m *meter) grow(spans []span, chords []chord) bool {
	grown := false
	for i := range spans {
		s := &spans[i]
		if s.kept {
			continue
		}
		in := overlapping(chords, s.from, s.to)
		s.ratio = ratioOf(s, in)
		wider := m.above(cell{from: s.from, to: s.to})
		if wider.from == s.from && wider.to == s.to || !s.short(in) || !free(spans, overlapping(chords, wider.from, wider.to)) {
			continue
		}
		s.from, s.to, grown = wider.from, wider.to, true
	}
	return grown
}

// short tells whether s is shorter than a tuplet of its shortest value.
func (s *span) short(chords []chord) bool {
	least, found := longest, false
	for i := range chords {
		if !s.holds(&chords[i]) || s.ratio.Actual == 0 {
			continue
		}
		if v, ok := valueOf(scale(chords[i].to.Sub(chords[i].from), s.ratio)); ok {
			least, found = min(least, v.power), true
		}
	}
	unit := value{power: least}.plain().Mul(int64(max(s.ratio.Actual, 1)), 1)
	return found && s.written().to.Less(unit)
}

// free tells whether all chords are in spans that are not kept.
func free(spans []span, chords []chord) bool {
	for i := range chords {
		k := slices.IndexFunc(spans, func(s span) bool { return s.holds(&chords[i]) })
		if k < 0 || spans[k].kept {
			return false
		}
	}
	return true
}
