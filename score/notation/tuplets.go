package notation

import (
	"slices"

	"undersong/score"
)

// span is a stretch of a lane that is written as a tuplet.
type span struct {
	from, to score.Time
	ratio    score.Ratio
}

// spans finds the tuplets of a lane: the smallest stretches of the meter that
// hold every note with a fraction that no plain value has.
func (l *lane) spans(g *grid) []span {
	var spans []span
	for i := range l.chords {
		c := &l.chords[i]
		if c.grace || plain(c.onset) && plain(c.length) {
			continue
		}
		from, to := l.settle(g, c)
		if last := len(spans) - 1; last >= 0 && from.Less(spans[last].to) {
			spans[last].from, spans[last].to = g.cell(score.Min(from, spans[last].from), score.Max(to, spans[last].to))
		} else {
			spans = append(spans, span{from: from, to: to})
		}
	}
	spans = l.grown(spans, g)
	for i := range spans {
		spans[i].ratio = l.ratio(spans[i])
	}
	return spans
}

// settle is the smallest stretch of the meter for the tuplet of a note. Inside
// a beat it grows as long as a rest would cross its ends, and as long as the
// score says that the tuplet goes on.
func (l *lane) settle(g *grid, c *chord) (from, to score.Time) {
	from, to = g.cell(c.onset, c.end())
	beat := g.beat(c.onset)
	for _, wider := range g.cells(c.onset) {
		if wider[0].Less(g.beats[beat]) || g.beats[beat+1].Less(wider[1]) {
			break
		}
		if from.Less(wider[0]) || wider[1].Less(to) || wider == [2]score.Time{from, to} {
			continue // not wider
		}
		crossed := from != wider[0] && !l.bounded(from) || to != wider[1] && !l.bounded(to)
		if crossed || l.oneTuplet(c.notes[0].Ratio, wider[0], wider[1]) {
			from, to = wider[0], wider[1]
		}
	}
	return from, to
}

// bounded tells whether a note begins or ends at t.
func (l *lane) bounded(t score.Time) bool {
	return slices.ContainsFunc(l.chords, func(c chord) bool { return !c.grace && !c.rest && (c.onset == t || c.end() == t) })
}

// oneTuplet tells whether the score writes all from one moment to another in
// one tuplet of this ratio: its shortest note, so many times, fills it.
func (l *lane) oneTuplet(r score.Ratio, from, to score.Time) bool {
	if r == (score.Ratio{}) {
		return false
	}
	shortest := to.Sub(from)
	for i := range l.chords {
		c := &l.chords[i]
		if c.grace || c.rest || c.onset.Less(from) || !c.onset.Less(to) {
			continue
		}
		if c.notes[0].Ratio != r {
			return false
		}
		shortest = score.Min(shortest, c.length)
	}
	return shortest.Mul(int64(r.Actual), 1) == to.Sub(from)
}

// grown widens spans until no note crosses their ends, and joins those that
// meet by it.
func (l *lane) grown(spans []span, g *grid) []span {
	for changed := true; changed; {
		changed = false
		for i := range spans {
			for j := range l.chords {
				c := &l.chords[j]
				if c.rest || c.grace || !c.onset.Less(spans[i].to) || !spans[i].from.Less(c.end()) {
					continue
				}
				if c.onset.Less(spans[i].from) || spans[i].to.Less(c.end()) {
					from, to := g.cell(score.Min(c.onset, spans[i].from), score.Max(c.end(), spans[i].to))
					if from != spans[i].from || to != spans[i].to {
						spans[i].from, spans[i].to, changed = from, to, true
					}
				}
			}
		}
		for i := 0; i+1 < len(spans); i++ {
			if spans[i+1].from.Less(spans[i].to) {
				spans[i].to = score.Max(spans[i].to, spans[i+1].to)
				spans = append(spans[:i+1], spans[i+2:]...)
				changed = true
			}
		}
	}
	return spans
}

// ratio is that of the score's notes in s where they agree and it fits, else
// the usual one: as many in the time of the next smaller number of plain
// values (in a beat of three, of three values or six).
func (l *lane) ratio(s span) score.Ratio {
	actual := int64(1)
	hint, agreed := score.Ratio{}, true
	for i := range l.chords {
		c := &l.chords[i]
		if c.grace || c.onset.Less(s.from) || !c.onset.Less(s.to) {
			continue
		}
		for _, t := range []score.Time{c.onset.Sub(s.from), c.end().Sub(s.from)} {
			actual = lcm(actual, odd(t.Mul(s.to.Sub(s.from).Den(), s.to.Sub(s.from).Num()).Den()))
		}
		if r := c.notes[0].Ratio; r != (score.Ratio{}) {
			agreed = agreed && (hint == score.Ratio{} || hint == r)
			hint = r
		}
	}
	if hint != (score.Ratio{}) && agreed && l.fits(s, hint) {
		return hint
	}
	unit := int64(1)
	if compound(s.to.Sub(s.from)) {
		unit = 3
	}
	normal := unit
	for normal*2 < actual {
		normal *= 2
	}
	return score.Ratio{Actual: int(actual), Normal: int(normal)}
}

// fits tells whether every note in s has a written value under r.
func (l *lane) fits(s span, r score.Ratio) bool {
	for i := range l.chords {
		c := &l.chords[i]
		if c.grace || c.rest || c.onset.Less(s.from) || !c.onset.Less(s.to) {
			continue
		}
		if _, _, ok := written(c.length, r); !ok {
			return false
		}
	}
	return true
}

func odd(n int64) int64 {
	for n%2 == 0 {
		n /= 2
	}
	return n
}

func lcm(a, b int64) int64 {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return a / x * b
}
