package score

// ties looks for ties without their other note, in measure i of the part.
func (c *checker) ties(i int) {
	m := c.p.Measures[i]
	for j := range m.Notes {
		n := &m.Notes[j]
		if n.Kind != Pitched || n.Grace {
			continue
		}
		if n.TieStart && !c.tieGoesOn(i, n) {
			c.at(n.Onset, "%s is tied to a note that is not there: tie the next %s to it or remove the tie", n.Pitch, n.Pitch)
		}
		if n.TieStop && !c.tieComesFrom(i, n) {
			c.at(n.Onset, "%s is tied from a note that is not there: tie the %s before to it or remove the tie", n.Pitch, n.Pitch)
		}
	}
}

// tieGoesOn looks for the note after n that is tied to it.
func (c *checker) tieGoesOn(i int, n *Note) bool {
	m := c.p.Measures[i]
	found := m.hasTie(func(o *Note) bool { return o.TieStop && o.Pitch == n.Pitch && !o.Onset.Less(n.End()) })
	if found || n.End().Less(m.Length) {
		return found
	}
	if c.order == nil || c.left[i] {
		return true
	}
	return i+1 < len(c.p.Measures) && c.p.Measures[i+1].hasTie(func(o *Note) bool {
		return o.TieStop && o.Pitch == n.Pitch && o.Onset.Sign() == 0
	})
}

func (c *checker) tieComesFrom(i int, n *Note) bool {
	m := c.p.Measures[i]
	found := m.hasTie(func(o *Note) bool { return o.TieStart && o.Pitch == n.Pitch && !n.Onset.Less(o.End()) })
	if found || n.Onset.Sign() > 0 {
		return found
	}
	if c.order == nil || c.arrived[i] {
		return true
	}
	if i == 0 {
		return false
	}
	before := c.p.Measures[i-1]
	return before.hasTie(func(o *Note) bool {
		return o.TieStart && o.Pitch == n.Pitch && !o.End().Less(before.Length)
	})
}

func (m *Measure) hasTie(is func(*Note) bool) bool {
	for i := range m.Notes {
		if n := &m.Notes[i]; n.Kind == Pitched && !n.Grace && is(n) {
			return true
		}
	}
	return false
}

// findJumps plays the score. An order of performance that cannot be told
// allows ties everywhere.
func (c *checker) findJumps() {
	order, err := c.score.Performance()
	if err != nil {
		return
	}
	c.order = order
	c.left, c.arrived = map[int]bool{}, map[int]bool{}
	for k := range order {
		if isJump(order, k) {
			c.left[order[k-1].Measure], c.arrived[order[k].Measure] = true, true
		}
	}
}

// lines looks for lines with one end only.
func (c *checker) lines() {
	var written, played []half
	for i, m := range c.p.Measures {
		written = append(written, m.halves(i)...)
	}
	lost := unpaired(written)
	if len(lost) == 0 {
		return
	}
	for _, o := range c.order {
		played = append(played, c.p.Measures[o.Measure].halves(o.Measure)...)
	}
	lostPlayed := places(unpaired(played))
	for _, h := range lost {
		if c.order != nil && !lostPlayed[measurePlace{h.measure, h.halfPlace}] {
			continue
		}
		c.m = c.p.Measures[h.measure]
		what := "stop without a start"
		if h.start {
			what = "start without a stop"
		}
		c.problem("a %s's %s: add the other end or remove this one", h.name, what)
	}
}
