package model

// letters tells, for every note, how many other notes bear its letter: a tone
// foreign to the chord has few.
type letters struct {
	now  []int // sounding when it is struck, in thousandths of all others
	near []int // sounding within a quarter, likewise
}

func (m *Music) letters() letters {
	c := letters{make([]int, len(m.Notes)), make([]int, len(m.Notes))}
	first := 0 // notes before it ended long ago
	for i := range m.Notes {
		n := &m.Notes[i]
		for first < i && m.Notes[first].End <= n.On-quarter {
			first++
		}
		var now, near, allNow, allNear int
		for j := first; j < len(m.Notes) && m.Notes[j].On <= n.On+quarter; j++ {
			o := &m.Notes[j]
			if j == i || o.End <= n.On-quarter {
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
