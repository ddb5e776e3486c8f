package model

// Scores are in thousandths of a logit: 0 is as likely as not.

// What a chain pays, in the same unit.
type costs struct {
	rest    int // for leaving the melody and coming back
	leap    int // for each semitone beyond a sixth
	overlap int // for beginning when the last note is not half over
}

var chainCosts = costs{rest: 900, leap: 60, overlap: 1500}

// back is how many notes the chain looks back for the one it carries on.
const back = 48

// Chain picks at most one note of every group so that the sum of scores, less
// the costs of leaps and rests, is highest. It returns their indexes in time
// order.
func (m *Music) Chain(scores []int) []int {
	n := len(m.Notes)
	best, from := make([]int, n), make([]int, n)
	far, farFrom := 0, none // the best chain that ends out of sight; at first none at all
	seen := 0               // notes counted into far
	end, endFrom := 0, none
	for _, g := range m.Groups {
		for ; seen < g.First-back; seen++ {
			if best[seen]-chainCosts.rest > far {
				far, farFrom = best[seen]-chainCosts.rest, seen
			}
		}
		for i := g.First; i < g.Last; i++ {
			best[i], from[i] = far, farFrom
			for j := seen; j < g.First; j++ {
				if b := best[j] - chainCosts.pass(&m.Notes[j], &m.Notes[i]); b > best[i] {
					best[i], from[i] = b, j
				}
			}
			best[i] += scores[i]
			if best[i] > end {
				end, endFrom = best[i], i
			}
		}
	}
	var chain []int
	for i := endFrom; i != none; i = from[i] {
		chain = append(chain, i)
	}
	for a, b := 0, len(chain)-1; a < b; a, b = a+1, b-1 {
		chain[a], chain[b] = chain[b], chain[a]
	}
	return chain
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
