package voicing

import "slices"

// phraseEnds are the last notes of phrases, of interludes too.
func (a *arrangement) phraseEnds() map[*note]bool {
	ends := map[*note]bool{}
	for _, line := range append(slices.Clone(a.line.Interludes), a.line) {
		for _, p := range line.Phrases {
			ends[&a.byTone[line.Tones[p.Last-1]]] = true
		}
	}
	return ends
}

// phrases are notes of the tune, with the grace notes that lead to them, phrase by
// phrase, and parted where the voicing changes. To a phrase belongs what it goes on with
// over a jump.
func (a *arrangement) phrases(notes []*note) [][]*note {
	ends := a.phraseEnds()
	var phrases [][]*note
	first, last := map[int]int{}, map[int]int{} // phrase of each measure
	var before *note                            // in the phrase
	for _, n := range notes {
		if before == nil || before.way != n.way {
			phrases = append(phrases, nil)
		}
		at, in := len(phrases)-1, a.measureAt(n.Onset)
		phrases[at] = append(phrases[at], n)
		if _, known := first[in]; !known {
			first[in] = at
		}
		last[in] = at
		if before = n; ends[n] {
			before = nil
		}
	}
	return a.overJumps(phrases, first, last)
}

// overJumps joins phrases, of which measures have a first and a last, over jumps: another
// ending with what went on into the one before it, and the pickup at the end of a repeat
// with what it leads back to.
func (a *arrangement) overJumps(phrases [][]*note, first, last map[int]int) [][]*note {
	order, err := a.source.Performance()
	if err != nil {
		return phrases // it is voiced as it is written
	}
	to := map[int]int{} // phrases that are joined to others
	whole := func(p int) int {
		for with, joined := to[p]; joined; with, joined = to[p] {
			p = with
		}
		return p
	}
	join := func(p, with int) {
		with = whole(with)
		if _, joined := to[p]; !joined && p != with && phrases[p][0].way == phrases[with][0].way {
			to[p] = with
		}
	}
	for i := 1; i < len(order); i++ {
		from, at := order[i-1].Measure, order[i].Measure
		leaves, here := last[from]
		arrives, there := first[at]
		next, on := first[from+1]
		switch {
		case !here || !there || at == from+1:
		case at > from && on && next == leaves:
			join(arrives, leaves)
		case at <= from && first[from] != leaves:
			join(leaves, arrives)
		}
	}
	for i := range phrases {
		if with := whole(i); with != i {
			phrases[with] = append(phrases[with], phrases[i]...)
			phrases[i] = nil
		}
	}
	return slices.DeleteFunc(phrases, func(p []*note) bool { return p == nil })
}
