package model

// repeats tells, for every note, how its key is struck nearby.
type repeats struct {
	near          []int // other strokes within four quarters
	before, after []int // ticks to the neighbouring strokes, at most eight quarters
	figure        []int // strokes exactly one, two and four quarters away
}

func (m *Music) repeats() repeats {
	n := len(m.Notes)
	r := repeats{make([]int, n), make([]int, n), make([]int, n), make([]int, n)}
	var strokes [128][]int
	for i := range m.Notes {
		k := m.Notes[i].Pitch & 127
		strokes[k] = append(strokes[k], i)
	}
	for _, s := range strokes {
		for k := range s {
			r.count(m, s, k)
		}
	}
	return r
}

// count looks around the k-th of a key's strokes.
func (r *repeats) count(m *Music, strokes []int, k int) {
	i := strokes[k]
	on := m.Notes[i].On
	r.before[i], r.after[i] = 8*quarter, 8*quarter
	if k > 0 {
		r.before[i] = min(on-m.Notes[strokes[k-1]].On, 8*quarter)
	}
	if k+1 < len(strokes) {
		r.after[i] = min(m.Notes[strokes[k+1]].On-on, 8*quarter)
	}
	for _, step := range []int{-1, 1} {
		for j := k + step; j >= 0 && j < len(strokes); j += step {
			away := distance(on, m.Notes[strokes[j]].On)
			if away > 4*quarter {
				break
			}
			r.near[i]++
			r.figure[i] += truth(away == quarter || away == 2*quarter || away == 4*quarter)
		}
	}
}
