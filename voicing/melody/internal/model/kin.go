package model

// families number, for every kinship, the notes that are alike.
func (v *View) families() [][]int {
	all := make([][]int, len(kinships))
	inParts(len(kinships)*fewest, func(from, to int) {
		known := newNumbers(len(v.Notes))
		for k := from / fewest; k < to/fewest; k++ {
			known.forget()
			all[k] = make([]int, len(v.Notes))
			for i := range v.Notes {
				all[k][i] = known.of(mixed(kinships[k].key(v, i)))
			}
		}
	})
	return all
}

// nearKin is how far around a note, in ticks, kin counts as near.
const nearKin = 16 * quarter

// kinMeans is, for one kinship, the mean likelihood of every note's kin, the
// note itself left out; -1 without kin.
func kinMeans(family, p []int) []int {
	sum, count := make([]int, len(p)), make([]int, len(p)) // by family, of which there are no more than notes
	for i, f := range family {
		sum[f] += p[i]
		count[f]++
	}
	means := make([]int, len(p))
	for i, f := range family {
		means[i] = mean(sum[f]-p[i], count[f]-1)
	}
	return means
}

// nearMeans is, for one kinship, the mean likelihood of every note's kin that is
// struck within nearKin, the note itself left out; -1 without kin.
func (v *View) nearMeans(family, p []int) []int {
	sum, count := make([]int, len(p)), make([]int, len(p)) // by family, of the notes within reach
	means := make([]int, len(p))
	first, last := 0, 0
	for i, f := range family {
		on := v.Notes[i].On
		for ; last < len(p) && v.Notes[last].On <= on+nearKin; last++ {
			sum[family[last]] += p[last]
			count[family[last]]++
		}
		for ; v.Notes[first].On < on-nearKin; first++ {
			sum[family[first]] -= p[first]
			count[family[first]]--
		}
		means[i] = mean(sum[f]-p[i], count[f]-1)
	}
	return means
}

// counts are, for every kinship and note, how many notes are of its family.
func counts(families [][]int) [][]int {
	all := make([][]int, len(families))
	for k, family := range families {
		size := make([]int, len(family))
		for _, f := range family {
			size[f]++
		}
		all[k] = make([]int, len(family))
		for i, f := range family {
			all[k][i] = size[f]
		}
	}
	return all
}
