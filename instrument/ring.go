package instrument

import "math"

// Range is the least and the most that a quantity is known to be.
type Range struct {
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
}

// Middle is the value as many times the least as the most is times it.
func (r Range) Middle() float64 { return math.Sqrt(r.Least * r.Most) }

// ringConstant is ring time times frequency: from a partial of 1300 Hz that
// rang 2 s to 60 dB (Woodhouse et al. 2012) to one of 475 Hz that rang 17 s
// (Jensenius 2026). That the shortest of Woodhouse's times, 2 to 5 s for 600 to
// 1300 Hz, is of the highest partial, and that the time goes with 1/f since a
// bell loses the same part of its sound in every swing, is our reading.
var ringConstant = Range{1300 * 2, 475 * 17}

// ring is the time in seconds until a partial of a bell is 60 dB weaker; both
// frequencies are in Hz.
//
// A bell cast heavier loses less to the air, by the square root of how much
// heavier it is, and no less to itself. The fourth root, midway, is our
// choice.
func (t *Tower) ring(strikeNote, partial float64) Range {
	longer := t.Casting.Ring * math.Pow(t.Casting.heavier(strikeNote), 0.25)
	return Range{
		Least: ringConstant.Least / partial * longer,
		Most:  ringConstant.Most / partial * longer,
	}
}
