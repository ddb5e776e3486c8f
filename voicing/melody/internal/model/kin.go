package model

// kinship is a way in which notes of a piece are alike. Where one of them is
// likely melody, the others are.
type kinship struct {
	name string
	key  func(v *View, i int) [3]int
}

var kinships = []kinship{
	{"its like", func(v *View, i int) [3]int { return [3]int{v.Notes[i].Pitch, v.Notes[i].Beat, v.Notes[i].Length()} }},
	{"its letter and beat", func(v *View, i int) [3]int { return [3]int{v.Notes[i].Pitch % 12, v.Notes[i].Beat} }},
	{"its pitch and intervals", func(v *View, i int) [3]int {
		return [3]int{v.Notes[i].Pitch, v.interval(v.links.prev[i], i), v.interval(i, v.links.next[i])}
	}},
	{"its length", func(v *View, i int) [3]int { return [3]int{v.Notes[i].Hand, v.Notes[i].Length()} }},
	{"its staff", func(v *View, i int) [3]int { return [3]int{v.Notes[i].Hand} }},
	{"its voice", func(v *View, i int) [3]int { return [3]int{v.Notes[i].Hand, v.Notes[i].Voice} }},
	{"its beat and place", func(v *View, i int) [3]int {
		return [3]int{v.Notes[i].Beat, truth(v.moments[i].soundsAbove == 0), truth(v.moments[i].soundsBelow == 0)}
	}},
}

// families number, for every kinship, the notes that are alike.
func (v *View) families() [][]int {
	all := make([][]int, len(kinships))
	for k, kin := range kinships {
		numbers := map[[3]int]int{}
		all[k] = make([]int, len(v.Notes))
		for i := range v.Notes {
			key := kin.key(v, i)
			n, known := numbers[key]
			if !known {
				n = len(numbers)
				numbers[key] = n
			}
			all[k][i] = n
		}
	}
	return all
}

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
