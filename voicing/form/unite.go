package form

import (
	"maps"
	"slices"
)

// settle cuts where a return begins and ends, and a return where what it
// returns to is cut, until nothing more is.
func (f *reader) settle(at map[int]bool, all []told) {
	room := func(i int) bool {
		for d := 1; d < shortest; d++ {
			if at[i-d] || at[i+d] || i+d >= len(f.tune) && i < len(f.tune) {
				return false
			}
		}
		return true
	}
	for again := true; again; {
		again = false
		cut := func(i int) {
			if i > 0 && i < len(f.tune) && !at[i] && room(i) {
				at[i], again = true, true
			}
		}
		for _, t := range all {
			if t.from < 0 {
				continue
			}
			cut(t.from)
			cut(t.from + t.end - t.first)
			for i := t.first + 1; i < t.end; i++ {
				if at[t.from+i-t.first] {
					cut(i)
				}
				if at[i] {
					cut(t.from + i - t.first)
				}
			}
		}
	}
}

// reach is how many sections back a whole one is looked for that returns, and
// how many are told anew when a cut goes.
const reach = 24

// unite takes out cuts as long as that makes the telling cheaper, now that a
// section can only be the return of a whole one.
func (f *reader) unite(at, forced map[int]bool) {
	cuts := append(slices.Sorted(maps.Keys(at)), len(f.tune))
	for again := true; again; {
		again = false
		for k := 1; k < len(cuts)-1; k++ {
			if forced[cuts[k]] {
				continue
			}
			without := slices.Delete(slices.Clone(cuts), k, k+1)
			if f.cost(without, k-1, k+reach-1) < f.cost(cuts, k-1, k+reach) {
				delete(at, cuts[k])
				cuts, again = without, true
			}
		}
	}
}

// cost is that of telling the sections from one cut to another.
func (f *reader) cost(cuts []int, from, to int) float64 {
	sum := 0.0
	for k := from; k < min(to, len(cuts)-1); k++ {
		first, length := cuts[k], cuts[k+1]-cuts[k]
		least := newCost + float64(length)
		for j := max(0, k-reach); j < k; j++ {
			was := f.body(cuts[j])
			if cuts[j+1]-was != length || !f.headAlike(was, first, length) {
				continue
			}
			if unlike := float64(length) - f.sumAlike(was, first, length); unlike <= (1-nearly)*float64(length) {
				least = min(least, returnCost+unlikeCost*unlike)
			}
		}
		sum += least + usual(length)
	}
	return sum
}

// How many measures of the beginning make a reprise, and how far they are the
// same; the project's own figures.
const (
	reprise      = 3
	repriseAlike = 0.9
)

// reprises cuts what is told as one section, but whose beginning comes back after
// something else with which a phrase begins: A B A′, though too short for three
// sections to be a cheaper telling.
func (f *reader) reprises(at, within map[int]bool) {
	cuts := append(slices.Sorted(maps.Keys(at)), len(f.tune))
	for k, end := range cuts[1:] {
		body := f.body(cuts[k])
		if within[cuts[k]+1] {
			continue
		}
		for _, b := range f.begins {
			back := b.measure
			if back < body+2*shortest || back+shortest > end || f.sumAlike(body, back, reprise) < repriseAlike*reprise {
				continue
			}
			if between, ok := f.nearest(body+end-back, body+shortest, back-shortest); ok {
				at[between], at[back] = true, true
			}
			break
		}
	}
}

// nearest is the measure from first to last at which a phrase begins that is the
// nearest to some measure.
func (f *reader) nearest(to, first, last int) (best int, ok bool) {
	for _, b := range f.begins {
		if m := b.measure; first <= m && m <= last && (!ok || max(m-to, to-m) < max(best-to, to-best)) {
			best, ok = m, true
		}
	}
	return best, ok
}
