package playing

import (
	"cmp"
	"slices"
)

// Assign shares strokes between hands and feet, so that as little as possible
// cannot be played, and otherwise by what limbs mind: long ways, little time,
// crossing, a line that changes hands for nothing, the same foot twice. At one
// time the left limb is below the right one. The time it takes grows with the
// number of strokes; the same strokes give the same limbs.
func (p *Player) Assign(strokes []Stroke) Assignment {
	a := Assignment{Limbs: make([]Limb, len(strokes))}
	var hands, feet []chord
	order := sorted(strokes)
	for _, moment := range together(strokes, order) {
		h, f := deal(strokes, moment, p.has)
		if len(h.keys) > 0 {
			hands = append(hands, h)
		}
		if len(f.keys) > 0 {
			feet = append(feet, f)
		}
		a.missing(strokes, moment, p.has)
		p.count(&a, h, f)
	}
	p.hands.assign(&a, hands)
	p.feet.assign(&a, feet)
	p.repeats(&a, strokes, order)
	slices.SortStableFunc(a.Problems, func(x, y Problem) int {
		return cmp.Or(cmp.Compare(x.at(strokes), y.at(strokes)), cmp.Compare(x.Reason, y.Reason))
	})
	return a
}

func (p *Player) has(s Stroke) bool {
	if s.Pedal {
		return p.feet.keys.Has(s.Key)
	}
	return p.hands.keys.Has(s.Key)
}

// at is when the last stroke of a problem is.
func (p *Problem) at(strokes []Stroke) float64 { return strokes[p.Strokes[len(p.Strokes)-1]].At }

func (a *Assignment) missing(strokes []Stroke, moment []int, has func(Stroke) bool) {
	for _, i := range moment {
		if !has(strokes[i]) {
			a.Problems = append(a.Problems, Problem{Reason: NoKey, Pedals: strokes[i].Pedal, Strokes: []int{i}})
		}
	}
}

// count holds a moment to the number of notes of hands and feet together.
func (p *Player) count(a *Assignment, hands, feet chord) {
	n, most := len(hands.keys)+len(feet.keys), p.tower.Player.Notes
	if n > most {
		involved := slices.Concat(slices.Concat(feet.notes...), slices.Concat(hands.notes...))
		a.Problems = append(a.Problems, Problem{Reason: TooMany, Strokes: involved, Value: float64(n), Limit: float64(most)})
	}
}

// repeats finds the bells that are struck before their clapper is back, by
// whatever limb.
func (p *Player) repeats(a *Assignment, strokes []Stroke, order []int) {
	last := map[int]int{}
	for _, i := range order {
		s := strokes[i]
		if !p.has(s) {
			continue
		}
		if j, struck := last[s.Key]; struck {
			apart := s.At - strokes[j].At
			if apart == 0 {
				continue
			}
			if apart < p.repeat[s.Key] {
				a.Problems = append(a.Problems, Problem{
					Reason: Repeated, Limb: a.Limbs[i], Pedals: s.Pedal, Strokes: []int{j, i}, Value: apart, Limit: p.repeat[s.Key],
				})
			}
		}
		last[s.Key] = i
	}
}

// assign gives the strokes of chords their limbs.
func (p *pair) assign(a *Assignment, chords []chord) {
	if len(chords) == 0 {
		return
	}
	left, before := p.run(chords)
	s := search{pair: p, chords: chords}
	for i := range chords {
		now := s.grips(i, int(left[i]))
		for l, g := range now {
			for _, notes := range chords[i].notes[g.first : g.first+g.n] {
				for _, n := range notes {
					a.Limbs[n] = s.limb(l)
				}
			}
		}
		s.stillProblems(a, i, now)
		for l, g := range now {
			if g.n > 0 && before[i][l] != free {
				s.moveProblem(a, l, before[i][l], g)
			}
		}
	}
}

func (p *pair) limb(l int) Limb { return [2]Limb{p.left, p.right}[l] }

// strokesOf are the indexes of what a limb strikes.
func (s *search) strokesOf(g grip) []int {
	return slices.Concat(s.chords[g.moment].notes[g.first : g.first+g.n]...)
}

func (s *search) problem(r Reason, limb Limb, value, limit float64, strokes []int) Problem {
	return Problem{Reason: r, Limb: limb, Pedals: s.left == LeftFoot, Strokes: strokes, Value: value, Limit: limit}
}

// stillProblems are those of a chord by itself.
func (s *search) stillProblems(a *Assignment, i int, now [2]grip) {
	c := &s.chords[i]
	all := slices.Concat(c.notes...)
	if n := len(c.keys); n > 2*s.slow {
		a.Problems = append(a.Problems, s.problem(TooMany, Nobody, float64(n), float64(2*s.slow), all))
		return
	}
	for l, g := range now {
		keys := c.keys[g.first : g.first+g.n]
		switch span := s.span(keys); {
		case span > s.reach:
			a.Problems = append(a.Problems, s.problem(TooWide, s.limb(l), span, s.reach, s.strokesOf(g)))
		case len(keys) > s.slow:
			a.Problems = append(a.Problems, s.problem(TooMany, s.limb(l), float64(len(keys)), float64(s.slow), s.strokesOf(g)))
		}
	}
	if span := s.span(c.keys); now[0].n > 0 && now[1].n > 0 && span > s.apart {
		a.Problems = append(a.Problems, s.problem(TooFarApart, Nobody, span, s.apart, all))
	}
}

// moveProblem is that of one limb from stroke to stroke.
func (s *search) moveProblem(a *Assignment, l int, from, to grip) {
	m := s.move(from, to)
	strokes := append(s.strokesOf(from), s.strokesOf(to)...)
	switch {
	case m.apart < m.need:
		a.Problems = append(a.Problems, s.problem(TooSoon, s.limb(l), m.apart, m.need, strokes))
	case m.crowded:
		a.Problems = append(a.Problems, s.problem(Moving, s.limb(l), m.apart, Slow, strokes))
	case m.leaps:
		a.Problems = append(a.Problems, s.problem(Leap, s.limb(l), m.way, s.leap, strokes))
	}
}
