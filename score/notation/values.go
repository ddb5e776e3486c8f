package notation

import "undersong/score"

// types are the note types of MusicXML from the longest, 32 quarters.
var types = []string{
	"maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd",
	"64th", "128th", "256th", "512th", "1024th",
}

// flags is the number of flags or beams of a type.
func flags(name string) int {
	for i, t := range types {
		if t == name {
			return max(0, i-5)
		}
	}
	return 0
}

// maxDots is how many dots a value may have.
const maxDots = 3

// value is the note type and the dots that last exactly so long.
func value(length score.Time) (name string, dots int, ok bool) {
	unit := score.Quarters(32)
	for _, t := range types {
		total, add := unit, unit
		for dots := range maxDots + 1 {
			if total == length {
				return t, dots, true
			}
			add = add.Mul(1, 2)
			total = total.Add(add)
		}
		unit = unit.Mul(1, 2)
	}
	return "", 0, false
}

// written is the value of a length inside a tuplet of this ratio.
func written(length score.Time, r score.Ratio) (name string, dots int, ok bool) {
	if r != (score.Ratio{}) {
		length = length.Mul(int64(r.Actual), int64(r.Normal))
	}
	return value(length)
}

// largest is the longest undotted length, at most t, of a written value.
func largest(t score.Time, r score.Ratio) score.Time {
	unit := score.Quarters(32)
	if r != (score.Ratio{}) {
		unit = unit.Mul(int64(r.Normal), int64(r.Actual))
	}
	for range types {
		if !t.Less(unit) {
			return unit
		}
		unit = unit.Mul(1, 2)
	}
	return t
}

// powerOfTwo tells whether n is 1, 2, 4, …
func powerOfTwo(n int64) bool { return n > 0 && n&(n-1) == 0 }

// plain tells whether t can be written without a tuplet.
func plain(t score.Time) bool { return powerOfTwo(t.Den()) }
