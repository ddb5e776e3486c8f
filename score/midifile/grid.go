package midifile

import (
	"iter"

	"undersong/score"
)

// grid is the ticks of a file.
type grid struct{ ticks int64 }

const (
	// usualTicks is the least resolution: sequencers' usual one.
	usualTicks = 480
	// mostTicks is the largest that the header has room for, fifteen bits.
	mostTicks = 1<<15 - 1
	// roundTicks divides by everything up to 10 and by most tuplets.
	roundTicks = 20160
)

// newGrid has every moment of p on a tick where that can be.
func newGrid(p *score.Performed) grid {
	common := int64(1)
	for t := range moments(p) {
		common = score.LCM(common, t.Den())
		if common > mostTicks {
			return grid{roundTicks}
		}
	}
	times := (usualTicks + common - 1) / common
	return grid{common * max(1, min(times, mostTicks/common))}
}

// moments yields all times at which something begins.
func moments(p *score.Performed) iter.Seq[score.Time] {
	return func(yield func(score.Time) bool) {
		for i := range p.Strikes {
			if !yield(p.Strikes[i].Onset) {
				return
			}
		}
		for _, t := range p.Tempi {
			if !yield(t.Onset) {
				return
			}
		}
		for _, t := range p.Starts {
			if !yield(t) {
				return
			}
		}
	}
}

// tick is the nearest to t, the later one of two.
func (g grid) tick(t score.Time) int64 {
	scaled := t.Mul(g.ticks, 1)
	return (2*scaled.Num() + scaled.Den()) / (2 * scaled.Den())
}

// rounded counts the moments that are on no tick.
func (g grid) rounded(p *score.Performed) int {
	n := 0
	for t := range moments(p) {
		if g.ticks%t.Den() != 0 {
			n++
		}
	}
	return n
}
