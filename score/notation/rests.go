package notation

import "undersong/score"

// cutRest adds the rests from p to q in c. A rest fills a cell, or parts of
// cells are filled: no rest hides a beat.
func cutRest(pieces []piece, c cell, p, q score.Time) []piece {
	v, ok := valueOf(q.Sub(p))
	whole := p == c.from && q == c.to
	if whole && ok && v.dots <= 1 {
		return append(pieces, piece{from: p, to: q, value: v, fits: true, span: -1})
	}
	if _, divides := c.part(0); !divides || !onGrid(p) || !onGrid(q) {
		return append(pieces, piece{from: p, to: q, value: v, fits: ok, span: -1})
	}
	for i := 0; ; i++ {
		in, more := c.part(i)
		if !more || !in.from.Less(q) {
			return pieces
		}
		if from, to := score.Max(p, in.from), score.Min(q, in.to); from.Less(to) {
			pieces = cutRest(pieces, in, from, to)
		}
	}
}

// keepRest adds a rest of the score as it is, where it has a value.
func keepRest(pieces []piece, c cell, p, q score.Time) []piece {
	if v, ok := valueOf(q.Sub(p)); ok {
		return append(pieces, piece{from: p, to: q, value: v, fits: true, span: -1})
	}
	return cutRest(pieces, c, p, q)
}
