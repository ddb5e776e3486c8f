package voicing

import (
	"math"

	"undersong/score"
)

// How much a line minds, when its octaves are chosen. The figures are the
// project's own; what matters is their order: a key that is not there
// outweighs all, then a break inside a phrase, then a break at a breath, then
// each note away from the octave that was wanted.
const (
	noKeyCost     = 1000.0
	brokenCost    = 40.0
	atBreathCost  = 4.0
	offOctaveCost = 1.0
)

// farthest is the largest move by octaves that is considered.
const farthest = 5

// octaveChoice moves a line by whole octaves.
type octaveChoice struct {
	want int // the move that is best where it fits
	// fits tells whether a note can be where this move puts it.
	fits func(n *Note, octaves int) bool
}

// choose sets the octaves of every note of a line: one move for a whole
// phrase wherever one fits, by dynamic programming over the line. Chords of a
// line move as one.
func (c octaveChoice) choose(line []*Note) {
	strikes := chords(line)
	if len(strikes) == 0 {
		return
	}
	const moves = 2*farthest + 1
	costs := [moves]float64{}
	from := make([][moves]int, len(strikes))
	for i, strike := range strikes {
		before := costs
		for m := range costs {
			costs[m] = math.Inf(1)
			for k := range before {
				cost := before[k]
				if i == 0 {
					k = m
					cost = 0
				} else if k != m {
					cost += breakCost(strikes[i-1], strike)
				}
				if cost < costs[m] {
					costs[m], from[i][m] = cost, k
				}
			}
			costs[m] += c.cost(strike, m-farthest)
		}
	}
	best := 0
	for m := range costs {
		if costs[m] < costs[best] {
			best = m
		}
	}
	for i := len(strikes) - 1; i >= 0; i-- {
		for _, n := range strikes[i] {
			n.Octaves = best - farthest
		}
		best = from[i][best]
	}
}

func (c octaveChoice) cost(strike []*Note, octaves int) float64 {
	cost := offOctaveCost * math.Abs(float64(octaves-c.want))
	for _, n := range strike {
		if !c.fits(n, octaves) {
			cost += noKeyCost
		}
	}
	return cost
}

func breakCost(before, after []*Note) float64 {
	if breath(before, after) {
		return atBreathCost
	}
	return brokenCost
}

// longNote ends a phrase in a line without rests: common practice, no source.
var longNote = score.Quarters(2)

// breath tells whether a phrase ends between two strikes of a line: at a
// rest, or after a long note that is longer than what follows.
func breath(before, after []*Note) bool {
	b, a := before[0], after[0]
	if b.Grace() || a.Grace() {
		return false
	}
	return b.End().Less(a.Onset) || !b.Length.Less(longNote) && a.Length.Less(b.Length)
}

// chords parts a line into what moves as one: notes struck together, and
// each grace note.
func chords(line []*Note) [][]*Note {
	var all [][]*Note
	for _, n := range line {
		last := len(all) - 1
		if last >= 0 && all[last][0].Onset == n.Onset && all[last][0].Grace() == n.Grace() {
			all[last] = append(all[last], n)
		} else {
			all = append(all, []*Note{n})
		}
	}
	return all
}
