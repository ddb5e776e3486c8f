package voicing

import (
	"slices"

	"undersong/score"
)

// usualTempo is taken where a score gives none, in quarter notes a minute:
// the project's own figure, a quiet walking pace.
const usualTempo = 90

// clock tells when what is written is played, in seconds, each measure once.
type clock struct {
	at      []score.Time // where a tempo begins
	seconds []float64    // when that is
	quarter []float64    // how long a quarter note lasts from there on
}

func newClock(s *score.Score, starts []score.Time) *clock {
	c := &clock{at: []score.Time{{}}, seconds: []float64{0}, quarter: []float64{60. / usualTempo}}
	type change struct {
		at    score.Time
		tempo float64
	}
	var changes []change
	for _, p := range s.Parts {
		for i, m := range p.Measures {
			for _, d := range m.Directions {
				if d.Sound.Tempo > 0 {
					changes = append(changes, change{starts[i].Add(d.Onset), d.Sound.Tempo})
				}
			}
		}
	}
	slices.SortStableFunc(changes, func(x, y change) int { return x.at.Cmp(y.at) })
	for _, ch := range changes {
		c.seconds = append(c.seconds, c.when(ch.at))
		c.at = append(c.at, ch.at)
		c.quarter = append(c.quarter, 60/ch.tempo)
	}
	return c
}

// when is the time of an onset in seconds.
func (c *clock) when(t score.Time) float64 {
	i, found := slices.BinarySearchFunc(c.at, t, score.Time.Cmp)
	if !found {
		i--
	}
	for i+1 < len(c.at) && c.at[i+1] == t {
		i++
	}
	return c.seconds[i] + t.Sub(c.at[i]).Quarters()*c.quarter[i]
}
