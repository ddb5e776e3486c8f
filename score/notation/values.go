package notation

import (
	"math/bits"
	"slices"

	"undersong/score"
)

// value is a written value: a note type as a power of two of a quarter note,
// and dots.
type value struct{ power, dots int }

const (
	longest  = 5  // a maxima, 32 quarter notes
	shortest = -8 // a 1024th
	maxDots  = 3
)

var types = [longest - shortest + 1]string{
	"maxima", "long", "breve", "whole", "half", "quarter", "eighth",
	"16th", "32nd", "64th", "128th", "256th", "512th", "1024th",
}

// Value is the length of a note type as MusicXML names it, such as "eighth";
// zero for no such type.
func Value(name string) score.Time {
	i := slices.Index(types[:], name)
	if i < 0 {
		return score.Time{}
	}
	return value{power: longest - i}.plain()
}

// valueOf is the one written value of a length, if there is one.
func valueOf(length score.Time) (v value, ok bool) {
	if length.Sign() <= 0 || !dyadic(length) {
		return value{}, false
	}
	// A value with n dots is 2^(n+1)-1 times its last dot.
	dots := bits.Len64(uint64(odd(length.Num()))) - 1
	if odd(length.Num()) != 1<<(dots+1)-1 || dots > maxDots {
		return value{}, false
	}
	power := bits.TrailingZeros64(uint64(length.Num())) - bits.TrailingZeros64(uint64(length.Den())) + dots
	return value{power, dots}, power <= longest && power >= shortest
}

func (v value) name() string { return types[longest-v.power] }

// flags is how many beams or flags v has.
func (v value) flags() int { return max(-v.power, 0) }

// plain is the length of v without its dots.
func (v value) plain() score.Time {
	if v.power < 0 {
		return score.Frac(1, 1<<-v.power)
	}
	return score.Quarters(1 << v.power)
}

// piece is a stretch of a voice with one written value, or with none that
// fits.
type piece struct {
	from, to score.Time
	value    value
	fits     bool // value is right
	span     int  // index of its tuplet, or -1
	inner    int  // index of the tuplet inside that, or -1
}

// cutNote adds the pieces of a note from p to q in c: one if one value fits,
// otherwise parted at the strongest edges.
func cutNote(pieces []piece, c cell, p, q score.Time) []piece {
	v, ok := valueOf(q.Sub(p))
	if !ok && onGrid(p) && onGrid(q) {
		c = c.around(p, q)
		if at, found := c.bestEdge(p, q); found {
			return cutNote(cutNote(pieces, c, p, at), c, at, q)
		}
	}
	return append(pieces, piece{from: p, to: q, value: v, fits: ok, span: -1})
}

// bestEdge is the edge of a part of c between p and q after which fewest
// pieces are needed: the latest, where it is all one.
func (c cell) bestEdge(p, q score.Time) (best score.Time, found bool) {
	most := -1
	for i := 0; ; i++ {
		in, ok := c.part(i)
		if !ok || !in.to.Less(q) {
			return best, found
		}
		if !p.Less(in.to) {
			continue
		}
		fit := 0
		if _, ok := valueOf(in.to.Sub(p)); ok {
			fit++
			if _, ok := valueOf(q.Sub(in.to)); ok {
				fit++
			}
		}
		if fit > most || fit == most && fit > 0 {
			best, most, found = in.to, fit, true
		}
	}
}
