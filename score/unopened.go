package score

import "slices"

// Unopened tells of repeats that seem to lack their forward sign: it gives the indexes
// of the measures at whose end the music goes back to the beginning, which is a pickup
// that they have already.
//
// A repeat without a forward sign rightly goes back to the beginning. It hardly
// means to where the pickup would be struck twice, so that a measure is too long.
func (s *Score) Unopened() (from []int) {
	order, err := s.Performance()
	if err != nil {
		return nil
	}
	for i := range order {
		last := order[max(i-1, 0)].Measure
		if isJump(order, i) && order[i].Measure == 0 && s.goesBack(last) && s.hasPickupOf(last) && !slices.Contains(from, last) {
			from = append(from, last)
		}
	}
	return from
}

// goesBack tells whether a repeat ends with a measure.
func (s *Score) goesBack(measure int) bool {
	return slices.ContainsFunc(s.Parts, func(p *Part) bool {
		return measure < len(p.Measures) && slices.ContainsFunc(p.Measures[measure].Barlines, func(b Barline) bool { return b.Repeat == "backward" })
	})
}

// hasPickupOf tells whether a full measure has in its end what the first has: a
// pickup after a silence of half a measure at least.
func (s *Score) hasPickupOf(measure int) bool {
	lengths := s.Starts()
	length := lengths[measure+1].Sub(lengths[measure])
	first := lengths[1]
	if silence, found := s.firstStroke(0, Time{}); found {
		first = first.Sub(silence)
	}
	if first.Sign() <= 0 || length.Less(first.Mul(2, 1)) || length.Less(lengths[min(2, len(lengths)-1)].Sub(lengths[1])) {
		return false
	}
	pickup := length.Sub(first)
	at, found := s.firstStroke(measure, pickup)
	return found && at == pickup
}

// firstStroke is when something is first struck in a measure from a moment on.
func (s *Score) firstStroke(measure int, from Time) (at Time, found bool) {
	for _, p := range s.Parts {
		if measure >= len(p.Measures) {
			continue
		}
		for i := range p.Measures[measure].Notes {
			n := &p.Measures[measure].Notes[i]
			if n.Plays() && !n.TieStop && !n.Onset.Less(from) && (!found || n.Onset.Less(at)) {
				at, found = n.Onset, true
			}
		}
	}
	return at, found
}
