package notation

import "undersong/score"

// largestRatio limits what is written as a tuplet.
const largestRatio = 64

// ratioOf is the ratio in which all that happens in s can be written: that of
// the score's notes where they agree and it fits, else the usual one. It is
// zero where there is none.
func ratioOf(s *span, chords []chord) score.Ratio {
	hint, agreed, actual := score.Ratio{}, true, int64(1)
	for i := range chords {
		c := &chords[i]
		if c.kind == grace {
			continue
		}
		if r := c.ratio(); r != (score.Ratio{}) {
			agreed = agreed && (hint == r || hint == score.Ratio{})
			hint = r
		}
		for _, t := range [2]score.Time{c.from, c.to} {
			if s.from.Less(t) && t.Less(s.to) {
				actual = min(score.LCM(actual, s.division(t)), largestRatio+1)
			}
		}
	}
	if agreed && hint.Actual > 0 && !doubling(hint) && fits(s, hint, chords) {
		return hint
	}
	return usual(s.to.Sub(s.from), actual)
}

// division is the odd number of equal parts that t divides s into.
func (s *span) division(t score.Time) int64 {
	length := s.to.Sub(s.from)
	return odd(t.Sub(s.from).Mul(length.Den(), length.Num()).Den())
}

// fits tells whether all edges of chords in s are plain when written under r.
func fits(s *span, r score.Ratio, chords []chord) bool {
	for i := range chords {
		for _, t := range [2]score.Time{chords[i].from, chords[i].to} {
			if s.from.Less(t) && t.Less(s.to) && !dyadic(scale(t.Sub(s.from), r)) {
				return false
			}
		}
	}
	return true
}

// usual is the ratio of a tuplet of so many notes: in the time of the next
// smaller number of plain values, which is a power of two, times three in a
// stretch of three. So 3:2, 5:4, 7:4, 9:8, and in a dotted beat 5:3 and 7:6
// (common practice, no source).
func usual(length score.Time, actual int64) score.Ratio {
	if actual <= 1 || actual > largestRatio || !dyadic(length) {
		return score.Ratio{}
	}
	normal := odd(length.Num())
	for 2*normal < actual {
		normal *= 2
	}
	return lowest(actual, normal)
}

// inside is the ratio of a tuplet inside one of ratio outer, where total is
// that of both together.
func inside(total, outer score.Ratio) score.Ratio {
	if total.Actual%outer.Actual == 0 && total.Normal%outer.Normal == 0 {
		return score.Ratio{Actual: total.Actual / outer.Actual, Normal: total.Normal / outer.Normal}
	}
	return lowest(int64(total.Actual*outer.Normal), int64(total.Normal*outer.Actual))
}

// both is the ratio of a tuplet inside another, together with that.
func both(inner, outer score.Ratio) score.Ratio {
	return score.Ratio{Actual: inner.Actual * outer.Actual, Normal: inner.Normal * outer.Normal}
}

// lowest is a ratio in lowest terms.
func lowest(actual, normal int64) score.Ratio {
	r := score.Frac(actual, normal)
	return score.Ratio{Actual: int(r.Num()), Normal: int(r.Den())}
}
