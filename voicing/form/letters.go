package form

// letter names sections by their melodies, the letter with a prime where they
// are nearly alike or begin alike, and gives the letter to those without a name.
func (f *reader) letter(sections []Section) {
	var first []int // of each letter
	missed := -1    // the letter of what no melody was found in
	for i := range sections {
		s := &sections[i]
		if f.silent(s.First, s.Last+1) {
			if s.Name == "" {
				if missed < 0 {
					missed, first = len(first), append(first, i)
				}
				s.Name = letters(missed)
			}
			continue
		}
		best, like := -1, 0.0
		for k, j := range first {
			l := f.likeness(&sections[j], s)
			if o := sections[j].Kind; o != s.Kind && o != Other && s.Kind != Other && l < exactly {
				continue // the score tells them apart
			}
			if l > like {
				best, like = k, l
			}
		}
		switch {
		case like >= exactly:
			s.Letter = letters(best)
		case like >= nearly:
			s.Letter = letters(best) + "′"
		default:
			s.Letter = letters(len(first))
			first = append(first, i)
		}
	}
	for i := range sections {
		if sections[i].Name == "" {
			sections[i].Name, sections[i].Because = sections[i].Letter, "its melody"
		}
	}
}

// exactly is how much alike sections of one letter are: a note here and there,
// or the words, may differ. The project's own figure.
const exactly = 0.92

// likeness is how far two sections are alike, measure by measure from their
// beginnings as far as the shorter goes, of the length of the longer; the
// measure of a pickup at the beginning of the piece does not count.
func (f *reader) likeness(a, b *Section) float64 {
	from, to := f.body(a.First), f.body(b.First)
	n, m := a.Last-from+1, b.Last-to+1
	if min(n, m) < 1 {
		return 0
	}
	if !f.headAlike(from, to, min(n, m)) {
		return 0
	}
	like := f.sumAlike(from, to, min(n, m)) / float64(max(n, m))
	if f.beginAlike(from, to, min(n, m)) {
		like = max(like, nearly)
	}
	if n != m {
		like = min(like, exactly-0.01) // longer or shorter: not quite the same
	}
	return like
}

// halfAlike is how far the first half of a period is the same in one that begins alike;
// the project's own figure.
const halfAlike = 0.85

// beginAlike tells whether two rows of so many measures only begin alike.
func (f *reader) beginAlike(a, b, length int) bool {
	return length > reprise && f.sumAlike(a, b, reprise) >= repriseAlike*reprise ||
		length > shortest && f.sumAlike(a, b, shortest) >= halfAlike*shortest
}

// body is the first measure of a section that begins with some measure, or the
// one after a pickup at the beginning of the piece.
func (f *reader) body(first int) int {
	if first == 0 && len(f.tune) > 1 && (f.short(0) || len(f.tune[0]) == 0 && len(f.tune[1]) > 0 && f.tune[1][0].onset.Sign() < 0) {
		return 1
	}
	return first
}

// short tells whether a measure is shorter than the next.
func (f *reader) short(i int) bool {
	return f.starts[i+1].Sub(f.starts[i]).Less(f.starts[i+2].Sub(f.starts[i+1]))
}

func letters(n int) string {
	if n < 26 {
		return string(rune('A' + n))
	}
	return letters(n/26-1) + letters(n%26)
}
