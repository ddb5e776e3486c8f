package model

import "slices"

// letters tells, for every note, how many other notes bear its letter: a tone
// foreign to the chord has few.
type letters struct {
	now  []int // sounding when it is struck, in thousandths of all others
	near []int // sounding within a quarter, likewise
}

func (m *Music) letters() letters {
	c := letters{make([]int, len(m.Notes)), make([]int, len(m.Notes))}
	var around []*Note // a note: those that sound within a quarter of it
	next := 0          // the first that is struck later than that
	for i := range m.Notes {
		n := &m.Notes[i]
		for ; next < len(m.Notes) && m.Notes[next].On <= n.On+quarter; next++ {
			around = append(around, &m.Notes[next])
		}
		around = slices.DeleteFunc(around, func(o *Note) bool { return o.End <= n.On-quarter })
		var now, near, allNow, allNear int
		for _, o := range around {
			if o == n {
				continue
			}
			same := truth((o.Pitch-n.Pitch)%12 == 0)
			allNear++
			near += same
			if o.On <= n.On && o.End > n.On {
				allNow++
				now += same
			}
		}
		c.now[i], c.near[i] = 1000*now/max(1, allNow), 1000*near/max(1, allNear)
	}
	return c
}
