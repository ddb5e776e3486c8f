package voicing

import "math"

// cheapest chooses one of the states of each step so that the sum of what
// they cost themselves and of the moves between them is least, by dynamic
// programming. Of equal sums the earlier state wins. Every step needs a state.
func cheapest[S any](steps [][]S, own func(step int, s *S) float64, move func(step int, from, to *S) float64) []int {
	var before []float64
	from := make([][]int, len(steps))
	for i, states := range steps {
		costs := make([]float64, len(states))
		from[i] = make([]int, len(states))
		for k := range states {
			best := math.Inf(1)
			for j := range before {
				if c := before[j] + move(i, &steps[i-1][j], &states[k]); c < best {
					best, from[i][k] = c, j
				}
			}
			if i == 0 {
				best = 0
			}
			costs[k] = best + own(i, &states[k])
		}
		before = costs
	}
	path := make([]int, len(steps))
	best := 0
	for k := range before {
		if before[k] < before[best] {
			best = k
		}
	}
	for i := len(steps) - 1; i >= 0; i-- {
		path[i] = best
		best = from[i][best]
	}
	return path
}
