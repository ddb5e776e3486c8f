package model

// rules are what the score of a note without any fit is made of.
type rules struct {
	step, repeat, leap, chord, turn int // worth of a line's shares, per cent
	piece                           int // worth of the whole lines against their surroundings, per cent
	top, bottom, inner              int // what the place is worth
	together                        int // cost of each further note as long
}

var usualRules = rules{
	step: 240, leap: -260, chord: -20, turn: 90, piece: 120,
	top: 600, bottom: 500, inner: -800, together: 430,
}

// ByRules scores every note without any fit: a line of the texture is a tune
// when it moves by step, is no row of chords and changes its note lengths. The
// top line is preferred, then the bottom one, then one in between.
func (v *View) ByRules() []int {
	scores := make([]int, len(v.Notes))
	for i := range scores {
		a := v.about(i)
		scores[i] = a.byRules(&usualRules)
	}
	return scores
}

func (a *asked) byRules(r *rules) int {
	upper := r.piece * (r.tuneful(&a.topAll) - r.tuneful(&a.bottomAll)) / 200
	score := -r.together * max(0, a.at.sameLength-1)
	switch {
	case a.at.soundsAbove == 0:
		return score + r.tuneful(&a.top)/2 + upper + r.top
	case a.at.soundsBelow == 0:
		return score + r.tuneful(&a.bottom)/2 - upper + r.bottom
	}
	return score + r.tuneful(&a.stream) + r.inner
}

// tuneful is how much a line is like a tune.
func (r *rules) tuneful(s *sums) int {
	return (r.step*s.share(sumSteps) + r.repeat*s.share(sumRepeats) + r.leap*s.share(sumLeaps) +
		r.chord*min(s.share(sumChord), 4000) + r.turn*s.share(sumTurn)) / 100
}
