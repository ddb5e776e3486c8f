package model

// family is, for one kinship, the notes that are alike.
type family struct {
	of   []int32 // the family of every note
	size []int32 // how many notes a family has
}

// families number, for every kinship, the notes that are alike.
func (v *View) families() []family {
	all := make([]family, len(kinships))
	eachKinship(func(from, to int) {
		known := newNumbers(len(v.Notes))
		for k := from; k < to; k++ {
			known.forget()
			f := family{of: make([]int32, len(v.Notes))}
			for i := range v.Notes {
				f.of[i] = int32(known.of(mixed(kinships[k].key(v, i))))
			}
			f.size = make([]int32, known.used)
			for _, n := range f.of {
				f.size[n]++
			}
			all[k] = f
		}
	})
	return all
}

// eachKinship calls f for parts of the kinships, one after the other or at once.
func eachKinship(f func(from, to int)) {
	inParts(len(kinships)*fewest, func(from, to int) { f(from/fewest, to/fewest) })
}

// sizeOf is how many notes are of note i's family.
func (f *family) sizeOf(i int) int { return int(f.size[f.of[i]]) }

// nearKin is how far around a note, in ticks, kin counts as near.
const nearKin = 16 * quarter

// members are the notes of a family, or some of them: how many and how likely.
type members struct{ count, sum int }

// without is the mean likelihood of the others beside one that is p; -1
// without others.
func (m members) without(p int) int16 { return int16(mean(m.sum-p, m.count-1)) }

// kinMeans is the mean likelihood of every note's kin, the note itself left
// out; -1 without kin.
func (f *family) kinMeans(p []int) []int16 {
	all := make([]members, len(f.size))
	for i, n := range f.of {
		all[n].sum += p[i]
		all[n].count++
	}
	means := make([]int16, len(p))
	for i, n := range f.of {
		means[i] = all[n].without(p[i])
	}
	return means
}

// nearMeans is the same of the kin that is struck within nearKin.
func (f *family) nearMeans(v *View, p []int) []int16 {
	within := make([]members, len(f.size))
	means := make([]int16, len(p))
	first, last := 0, 0
	for i, n := range f.of {
		on := v.Notes[i].On
		for ; last < len(p) && v.Notes[last].On <= on+nearKin; last++ {
			m := &within[f.of[last]]
			m.sum += p[last]
			m.count++
		}
		for ; v.Notes[first].On < on-nearKin; first++ {
			m := &within[f.of[first]]
			m.sum -= p[first]
			m.count--
		}
		means[i] = within[n].without(p[i])
	}
	return means
}
