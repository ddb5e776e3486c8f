package notation

import (
	"slices"

	"undersong/score"
)

// grid is the beats of a measure. A measure that is shorter than its time
// signature at the start of a piece, or without number, lies at the end of
// its grid: it is an upbeat.
type grid struct {
	beats  []score.Time // where each beat begins, in the measure; the first may be before it
	length score.Time   // of the measure
	paired bool         // quarter beats that go two by two, as in 4/4
	full   bool         // the measure is as long as its time signature says
}

// mostBeats bounds the beats of a measure. One with more than that is hostile,
// and is divided into so many.
const mostBeats = 1 << 12

func (c *Context) grid(m *score.Measure) *grid {
	time := c.time
	for _, t := range m.Times {
		if t.Onset.Sign() == 0 {
			time = t.Time
		}
	}
	g := &grid{length: m.Length}
	for i := range m.Notes {
		g.length = score.Max(g.length, m.Notes[i].End())
	}
	beats := time.Beats()
	full, measured := time.Length()
	if !measured || full.Mul(mostBeats, int64(len(beats))).Less(g.length) {
		beats, full = []score.Time{score.Max(score.Quarter, g.length.Mul(1, mostBeats))}, score.Quarter
	}
	g.full = !measured || g.length == full
	g.paired = len(beats)%4 == 0 && !slices.ContainsFunc(beats, func(b score.Time) bool { return b != score.Quarter })
	var at score.Time
	if g.length.Less(full) && (m.Implicit || !c.begun) {
		at = g.length.Sub(full)
	}
	for i := 0; at.Less(g.length) || len(g.beats) == 0; i++ {
		g.beats = append(g.beats, at)
		at = at.Add(beats[i%len(beats)])
	}
	g.beats = append(g.beats, at)
	return g
}

// beat is the index of the beat that t falls in.
func (g *grid) beat(t score.Time) int {
	i, found := slices.BinarySearchFunc(g.beats, t, score.Time.Cmp)
	if !found {
		i--
	}
	return min(max(i, 0), len(g.beats)-2)
}

// bounds are the ends of the stretch of n beats, counted in groups of n, that
// beat i is in.
func (g *grid) bounds(i, n int) (from, to score.Time) {
	first := i / n * n
	return g.beats[first], g.beats[min(first+n, len(g.beats)-1)]
}

// compound tells whether a length is three times a plain note value.
func compound(t score.Time) bool { return t.Num()%3 == 0 && t.Num()/3&(t.Num()/3-1) == 0 }

// cells are the stretches around beat i that belong together, from the
// smallest part of the beat at t to the whole measure.
func (g *grid) cells(t score.Time) [][2]score.Time {
	i := g.beat(t)
	start, end := g.beats[i], g.beats[i+1]
	length := end.Sub(start)
	var cells [][2]score.Time
	part := length
	if compound(length) {
		part = length.Mul(1, 3)
	}
	for k := int64(32); k >= 1; k /= 2 {
		size := part.Mul(1, k)
		from := start.Add(t.Sub(start).Floor(size))
		cells = append(cells, [2]score.Time{from, from.Add(size)})
	}
	for n := 1; n < len(g.beats)-1; n *= 2 {
		from, to := g.bounds(i, n)
		cells = append(cells, [2]score.Time{from, to})
	}
	return append(cells, [2]score.Time{g.beats[0], g.beats[len(g.beats)-1]})
}

// cell is the smallest stretch that holds all of from to to.
func (g *grid) cell(from, to score.Time) (start, end score.Time) {
	for _, c := range g.cells(from) {
		if !from.Less(c[0]) && !c[1].Less(to) {
			return c[0], c[1]
		}
	}
	return score.Min(from, g.beats[0]), score.Max(to, g.beats[len(g.beats)-1])
}
