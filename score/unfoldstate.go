package score

import "slices"

// inForce is what holds on each staff of a part; index 0 is not used.
type inForce struct {
	keys       []KeyChange
	times      []TimeChange
	clefs      []ClefChange
	transposes []TransposeChange
}

func newInForce(staves int) *inForce {
	f := &inForce{
		make([]KeyChange, staves+1), make([]TimeChange, staves+1),
		make([]ClefChange, staves+1), make([]TransposeChange, staves+1),
	}
	for i := range f.clefs {
		f.clefs[i].Clef = Treble // MusicXML's, where nothing is said
	}
	return f
}

func (f *inForce) clone() *inForce {
	return &inForce{slices.Clone(f.keys), slices.Clone(f.times), slices.Clone(f.clefs), slices.Clone(f.transposes)}
}

// advance takes f past m.
func (f *inForce) advance(m *Measure) {
	change(f.keys, m.Keys)
	change(f.times, m.Times)
	change(f.clefs, m.Clefs)
	change(f.transposes, m.Transposes)
}

// placed is a change that holds from a moment on, for a staff or for all (0).
type placed interface{ where() (Time, int) }

func (c KeyChange) where() (Time, int)       { return c.Onset, c.Staff }
func (c TimeChange) where() (Time, int)      { return c.Onset, c.Staff }
func (c ClefChange) where() (Time, int)      { return c.Onset, c.Staff }
func (c TransposeChange) where() (Time, int) { return c.Onset, c.Staff }

// change applies changes in the order of time. A change of a staff that the
// part does not have changes nothing.
func change[C placed](at, changes []C) {
	sorted := slices.Clone(changes)
	slices.SortStableFunc(sorted, func(a, b C) int {
		x, _ := a.where()
		y, _ := b.where()
		return x.Cmp(y)
	})
	for _, c := range sorted {
		_, staff := c.where()
		for i := range at {
			if staff == 0 || staff == i {
				at[i] = c
			}
		}
	}
}

// restate gives the measures where a jump lands the signatures that hold
// there as written, where the music before leaves others, and takes out those that
// it leaves already.
func (p *Part) restate(order []Played, leaves []leaf) {
	landings := map[int]*inForce{}
	for i, o := range order {
		if isJump(order, i) {
			landings[o.Measure] = nil
		}
	}
	f := newInForce(p.Staves)
	for i, m := range p.Measures {
		if _, lands := landings[i]; lands {
			landings[i] = f.clone()
		}
		f.advance(m)
	}
	f = newInForce(p.Staves)
	for i, o := range order {
		if isJump(order, i) {
			leaves[i].restate(f, landings[o.Measure])
			leaves[i].unstate(f)
		}
		f.advance(leaves[i].Measure)
	}
}

// unstate takes out of l the signatures that it begins with and that hold already.
func (l *leaf) unstate(have *inForce) {
	dropHeld(l, have.keys, func(m *Measure) *[]KeyChange { return &m.Keys }, func(c, h KeyChange) bool { return c.Key == h.Key })
	dropHeld(l, have.times, func(m *Measure) *[]TimeChange { return &m.Times }, func(c, h TimeChange) bool { return c.Time.Equal(h.Time) })
	dropHeld(l, have.clefs, func(m *Measure) *[]ClefChange { return &m.Clefs }, func(c, h ClefChange) bool { return c.Clef == h.Clef })
	dropHeld(l, have.transposes, func(m *Measure) *[]TransposeChange { return &m.Transposes },
		func(c, h TransposeChange) bool { return c.Transposition == h.Transposition })
}

// dropHeld takes out those changes at the start of a measure that hold already on
// all staves that they are for.
func dropHeld[C placed](l *leaf, have []C, of func(*Measure) *[]C, same func(c, held C) bool) {
	holds := func(c C) bool {
		onset, on := c.where()
		for staff := 1; staff < len(have); staff++ {
			if (on == 0 || on == staff) && !same(c, have[staff]) {
				return false
			}
		}
		return onset.Sign() == 0 && on < len(have)
	}
	if slices.ContainsFunc(*of(l.Measure), holds) {
		changes := of(l.edit())
		*changes = slices.DeleteFunc(*changes, holds)
	}
}

// restate adds to l what must hold in it and does not.
func (l *leaf) restate(have, want *inForce) {
	for staff := len(want.keys) - 1; staff > 0; staff-- {
		on := staff // how the change names it
		if len(want.keys) == 2 {
			on = 0
		}
		if k := want.keys[staff]; k.Key != have.keys[staff].Key && !states(l.Keys, staff) {
			m := l.edit()
			m.Keys = slices.Insert(m.Keys, 0, KeyChange{Staff: on, Key: k.Key, Source: k.Source})
		}
		if t := want.times[staff]; !t.unknown() && !t.Time.Equal(have.times[staff].Time) && !states(l.Times, staff) {
			m := l.edit()
			m.Times = slices.Insert(m.Times, 0, TimeChange{Staff: on, Time: t.Time.clone(), Source: t.Source})
		}
		if c := want.clefs[staff]; c.Clef != have.clefs[staff].Clef && !states(l.Clefs, staff) {
			m := l.edit()
			m.Clefs = slices.Insert(m.Clefs, 0, ClefChange{Staff: staff, Clef: c.Clef, Source: c.Source})
		}
		if t := want.transposes[staff]; t.Transposition != have.transposes[staff].Transposition && !states(l.Transposes, staff) {
			m := l.edit()
			m.Transposes = slices.Insert(m.Transposes, 0,
				TransposeChange{Staff: on, Transposition: t.Transposition, Source: t.Source})
		}
	}
}

// unknown tells whether no time signature was ever written.
func (c *TimeChange) unknown() bool { return len(c.Time.Groups) == 0 && c.Source == 0 }

// states tells whether one of the changes holds for staff from the start.
func states[C placed](changes []C, staff int) bool {
	return slices.ContainsFunc(changes, func(c C) bool {
		onset, s := c.where()
		return onset.Sign() == 0 && (s == 0 || s == staff)
	})
}
