package model

// kinship is a way in which notes of a piece are alike. Where one of them is
// likely melody, the others are: what a melody looks like differs from piece to
// piece.
type kinship struct {
	name  string
	count counting // what is asked of how many there are
	near  bool     // those around are asked about as well
	key   func(v *View, i int) [4]int
}

// counting is what a column asks of the number of notes that are alike.
type counting int

const (
	uncounted counting = iota
	counted            // their number
	shared             // their share of all notes
)

var kinships = []kinship{
	{"its like", counted, false, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Pitch, v.Notes[i].Beat, v.Notes[i].Length()} }},
	{"its letter and beat", shared, false, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Pitch % 12, v.Notes[i].Beat} }},
	{"its pitch and intervals", counted, false, func(v *View, i int) [4]int {
		return [4]int{v.Notes[i].Pitch, v.interval(v.links.prev[i], i), v.interval(i, v.links.next[i])}
	}},
	{"its length", shared, false, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Hand, v.Notes[i].Length()} }},
	{"its staff", shared, false, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Hand} }},
	{"its voice", shared, false, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Hand, v.Notes[i].Voice} }},
	{"its turn", counted, false, func(v *View, i int) [4]int {
		n := v.links.next[i]
		return [4]int{v.interval(v.links.prev[i], i), v.interval(i, n), v.Notes[i].Length(), v.lengthOf(n)}
	}},
	{"its figure", counted, false, func(v *View, i int) [4]int {
		n := v.links.next[i]
		return [4]int{v.Notes[i].Pitch, v.interval(i, n), v.Notes[i].Beat, v.beatOf(n)}
	}},
	{"its phrase", counted, false, func(v *View, i int) [4]int {
		p, n := v.links.prev[i], v.links.next[i]
		return [4]int{v.interval(v.prevOf(p), p), v.interval(p, i), v.interval(i, n), v.interval(n, v.nextOf(n))}
	}},
	{"its beat and length", shared, true, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Beat, v.Notes[i].Length()} }},
	{"its pitch", shared, false, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Pitch} }},
	{"its register", shared, true, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Hand, v.Notes[i].Pitch / 4} }},
	{"its place in the chord", shared, true, func(v *View, i int) [4]int {
		o := &v.moments[i]
		return [4]int{min(o.struckAbove, 3), min(o.struckBelow, 3), min(o.soundsAbove, 2), min(o.soundsBelow, 2)}
	}},
	{"its place and length", shared, false, func(v *View, i int) [4]int {
		return [4]int{v.Notes[i].Length(), truth(v.moments[i].soundsAbove == 0), truth(v.moments[i].soundsBelow == 0)}
	}},
	{"its place on its staff", uncounted, true, func(v *View, i int) [4]int {
		o := &v.moments[i]
		return [4]int{v.Notes[i].Hand, min(o.handAbove, 2), min(o.handBelow, 2), min(o.voiceRank, 3)}
	}},
	{"its length and the next", shared, true, func(v *View, i int) [4]int {
		return [4]int{v.Notes[i].Hand, v.Notes[i].Length(), v.moments[i].untilNext, min(v.moments[i].struck, 3)}
	}},
	{"its beat and length on its staff", shared, false, func(v *View, i int) [4]int {
		return [4]int{v.Notes[i].Hand, v.Notes[i].Beat, v.Notes[i].Length(), truth(v.moments[i].handAbove == 0)}
	}},
	{"its doubling", uncounted, false, func(v *View, i int) [4]int {
		o := &v.moments[i]
		return [4]int{v.Notes[i].Hand, o.octaveAbove, o.octaveBelow, min(o.sameLength, 3)}
	}},
	{"its measure", uncounted, false, func(v *View, i int) [4]int { return [4]int{v.Notes[i].Measure} }},
	{"its beat and place", shared, false, func(v *View, i int) [4]int {
		return [4]int{v.Notes[i].Beat, truth(v.moments[i].soundsAbove == 0), truth(v.moments[i].soundsBelow == 0)}
	}},
}

func (v *View) lengthOf(i int) int {
	if i == none {
		return 0
	}
	return v.Notes[i].Length()
}

func (v *View) beatOf(i int) int {
	if i == none {
		return -1
	}
	return v.Notes[i].Beat
}

func (v *View) prevOf(i int) int {
	if i == none {
		return none
	}
	return v.links.prev[i]
}

func (v *View) nextOf(i int) int {
	if i == none {
		return none
	}
	return v.links.next[i]
}
