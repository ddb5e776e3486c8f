package notation

import (
	"math/bits"
	"sort"

	"undersong/score"
)

// meter is the grid of a measure. Its times are counted from where a full
// measure would begin: a pickup lies at the end of its grid.
type meter struct {
	length score.Time // of the measure
	toEnd  bool       // a short measure is the end of a full one
	offset score.Time // where the measure begins in the grid
	full   bool       // the measure is as long as its time signature says

	root   cell
	beats  []score.Time // where each beat begins, and the end of the last
	paired bool         // the beats are quarters and go two by two, as in 4/4
}

// mostBeats bounds the beats of a measure. One with more is no music, and its
// beats are made longer.
const mostBeats = 1 << 12

// newMeter is the grid for a measure of this length. A measure that is too
// long goes on as it began; without a time signature the beats are quarters.
func newMeter(t score.TimeSignature, length score.Time, toEnd bool) *meter {
	beats := t.Beats()
	full, measured := t.Length()
	if !measured || full.Mul(mostBeats, int64(len(beats))).Less(length) {
		beats, full = []score.Time{score.Quarter}, score.Quarter
		for full.Mul(mostBeats, 1).Less(length) {
			full = full.Mul(2, 1)
			beats[0] = full
		}
	}
	m := &meter{length: length, toEnd: toEnd, full: !measured || length == full}
	if toEnd && length.Less(full) {
		m.offset = full.Sub(length)
	}
	equal := allEqual(beats)
	m.paired = equal && len(beats)%4 == 0 && beats[0] == score.Quarter

	var bars []cell
	at, end := score.Time{}, m.offset.Add(length)
	for at.Less(end) || len(bars) == 0 {
		var bar []cell
		for _, b := range beats {
			m.beats = append(m.beats, at)
			bar = append(bar, cell{from: at, to: at.Add(b)})
			at = at.Add(b)
		}
		bars = append(bars, group(bar, equal))
	}
	m.beats = append(m.beats, at)
	m.root = join(bars)
	return m
}

func allEqual(times []score.Time) bool {
	for _, t := range times {
		if t != times[0] {
			return false
		}
	}
	return true
}

// group joins beats to a measure: four equal ones, or six, by halves.
func group(beats []cell, equal bool) cell {
	if n := len(beats); equal && n >= 4 && n%2 == 0 {
		return join([]cell{group(beats[:n/2], true), group(beats[n/2:], true)})
	}
	return join(beats)
}

func join(parts []cell) cell {
	if len(parts) == 1 {
		return parts[0]
	}
	return cell{parts[0].from, parts[len(parts)-1].to, parts}
}

// beat is the index of the beat that t lies in.
func (m *meter) beat(t score.Time) int {
	next := sort.Search(len(m.beats), func(i int) bool { return t.Less(m.beats[i]) })
	return min(max(next-1, 0), len(m.beats)-2)
}

// around is the smallest stretch of the meter that holds p to q: a part of a
// beat, a row of the units of a dotted beat, a row of beats.
func (m *meter) around(p, q score.Time) cell {
	first, last := m.beat(p), m.beat(q)
	if q == m.beats[last] && last > first {
		last--
	}
	c := cell{from: m.beats[first], to: m.beats[last+1]}
	if first != last {
		return c
	}
	length := c.to.Sub(c.from)
	unit := length.Mul(1, odd(length.Num()))
	from := p.Sub(c.from).Floor(unit)
	to := from.Add(unit)
	for to.Less(q.Sub(c.from)) {
		to = to.Add(unit)
	}
	row := cell{from: c.from.Add(from), to: score.Min(c.from.Add(to), c.to)}
	if to.Sub(from) == unit {
		return row.around(p, q)
	}
	return row
}

// above is the next larger stretch around c, up to a row of two beats.
func (m *meter) above(c cell) cell {
	b := m.beat(c.from)
	beat := cell{from: m.beats[b], to: m.beats[b+1]}
	if beat.from == c.from && !c.to.Less(beat.to) {
		two := m.around(c.from, c.to)
		if b%2 == 0 && b+2 < len(m.beats) && two.to == beat.to {
			two.to = m.beats[b+2]
		}
		return two
	}
	for {
		inner, ok := beat.inner(c.from, c.to)
		if !ok || inner.from == c.from && inner.to == c.to {
			return beat
		}
		beat = inner
	}
}

// cell is a stretch of a measure that belongs together: the measure, half of
// it, a beat, a part of a beat.
type cell struct {
	from, to score.Time
	parts    []cell // none from the beat down, where part counts
}

// finest is the denominator of the smallest cells.
const finest = 512

// part is part i of c. A beat goes by halves, and where it holds an odd
// number of units by pairs of these: a dotted quarter into a quarter and
// an eighth.
func (c cell) part(i int) (cell, bool) {
	if c.parts != nil {
		if i >= len(c.parts) {
			return cell{}, false
		}
		return c.parts[i], true
	}
	length := c.to.Sub(c.from)
	if length.Den() > finest {
		return cell{}, false
	}
	step := length.Mul(1, 2)
	if units := odd(length.Num()); units > 1 {
		step = length.Mul(2, units)
	}
	from := c.from.Add(step.Mul(int64(i), 1))
	return cell{from: from, to: score.Min(from.Add(step), c.to)}, from.Less(c.to)
}

// inner is the part of c that holds p to q.
func (c cell) inner(p, q score.Time) (cell, bool) {
	for i := 0; ; i++ {
		in, ok := c.part(i)
		if !ok || p.Less(in.from) {
			return cell{}, false
		}
		if !in.to.Less(q) {
			return in, true
		}
	}
}

// around is the smallest cell in c that holds p to q.
func (c cell) around(p, q score.Time) cell {
	for {
		in, ok := c.inner(p, q)
		if !ok {
			return c
		}
		c = in
	}
}

// odd is n without its factors of two.
func odd(n int64) int64 {
	if n == 0 {
		return 0
	}
	return n >> bits.TrailingZeros64(uint64(n))
}

// dyadic tells whether t is so many halves, quarters, eighths … of a
// quarter note: written without a tuplet.
func dyadic(t score.Time) bool { return odd(t.Den()) == 1 }

// onGrid tells whether t is the edge of a cell, if only of the smallest.
func onGrid(t score.Time) bool { return dyadic(t) && t.Den() <= finest }
