package model

import "slices"

// Scores are in thousandths of a logit: 0 is as likely as not.

// What a chain pays, in the same unit.
type costs struct {
	rest    int // for leaving the melody and coming back
	leap    int // for each semitone beyond a sixth
	overlap int // for beginning when the last note is not half over
}

var chainCosts = costs{rest: 600, leap: 60, overlap: 800}

// back is how many notes the chain looks back for the one it carries on.
const back = 48

// Chain picks at most one note of every group so that the sum of scores, less
// the costs of leaps and rests, is highest. It returns their indexes in time
// order.
func (m *Music) Chain(scores []int) []int { return chainOf(m.upTo(scores)) }

// chainOf is the best of the chains that upTo has found.
func chainOf(best, from []int) []int {
	end, sum := none, 0
	for i, b := range best {
		if b > sum {
			end, sum = i, b
		}
	}
	var chain []int
	for i := end; i != none; i = from[i] {
		chain = append(chain, i)
	}
	slices.Reverse(chain)
	return chain
}

// upTo is, for every note, the sum of the best chain that ends with it, and
// the note of that chain before it.
func (m *Music) upTo(scores []int) (best, from []int) {
	n := len(m.Notes)
	best, from = make([]int, n), make([]int, n)
	far, farFrom := 0, none // the best chain that ends out of sight; at first none at all
	seen := 0               // notes counted into far
	for _, g := range m.Groups {
		for ; seen < g.First-back; seen++ {
			if best[seen]-chainCosts.rest > far {
				far, farFrom = best[seen]-chainCosts.rest, seen
			}
		}
		for i := g.First; i < g.Last; i++ {
			best[i], from[i] = far, farFrom
			// Of equal ones the earliest wins. The latest are tried first: most
			// of the others then cannot be better.
			for j := g.First - 1; j >= seen; j-- {
				if best[j] < best[i] || best[j] <= far {
					continue
				}
				if b := best[j] - chainCosts.pass(&m.Notes[j], &m.Notes[i]); b >= best[i] && b > far {
					best[i], from[i] = b, j
				}
			}
			best[i] += scores[i]
		}
	}
	return best, from
}

// after is, for every note, the sum of the best chain that goes on from it,
// its own score left out.
func (m *Music) after(scores []int) []int {
	best := make([]int, len(m.Notes))
	far := 0
	seen := len(m.Notes) - 1
	for gi := len(m.Groups) - 1; gi >= 0; gi-- {
		g := m.Groups[gi]
		for ; seen >= g.Last+back; seen-- {
			far = max(far, best[seen]+scores[seen]-chainCosts.rest)
		}
		for i := g.First; i < g.Last; i++ {
			best[i] = far
			for j := g.Last; j <= seen; j++ {
				if sum := best[j] + scores[j]; sum > best[i] {
					best[i] = max(best[i], sum-chainCosts.pass(&m.Notes[i], &m.Notes[j]))
				}
			}
		}
	}
	return best
}

// pass is what going on from a to b costs.
func (c *costs) pass(a, b *Note) int {
	rest := b.On - a.End
	if rest > quarter/2 {
		return min(c.rest, c.rest*rest/(4*quarter)+c.rest/4)
	}
	cost := c.leap * max(0, distance(a.Pitch, b.Pitch)-9)
	if rest < 0 && 2*-rest > a.Length() {
		cost += c.overlap
	}
	return min(cost, c.rest+c.overlap)
}
