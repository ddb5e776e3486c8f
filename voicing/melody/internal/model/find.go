package model

// Looks is how often the notes are scored, each time with what the time
// before has shown of their surroundings.
const Looks = 3

// Forests are those of all looks, for written music and for music played.
type Forests struct{ Written, Played [Looks]Forest }

// Scores are the notes' scores by the forests of all looks: logits, in
// thousandths.
func (v *View) Scores(f *Forests) []int {
	looks := &f.Written
	if v.Played() {
		looks = &f.Played
	}
	var scores []int
	for _, f := range looks {
		scores = f.Scores(v.Rows(scores), scores)
	}
	return scores
}

// Fitted are the notes' scores by the forests that come with the package.
func (v *View) Fitted() []int { return v.Scores(forests()) }

// A piece is melody for a good part. All songs in README.md have it in a third
// of their time or more; music that looks like nothing known
// can score so low that less is found.
const (
	leastCover = 33   // per cent
	moreEager  = 750  // added until that much is found
	mostEager  = 9000 // but no further
)

// eager is what is added to the forests' scores: a reader would rather have a
// doubtful note in the melody than a hole, and in music taken down there are more
// notes to be taken for one. The figures are those that found most in the songs of
// README.md.
func (v *View) eager() int {
	if v.Played() {
		return 250
	}
	return 750
}

// Melody is the best chain through the scores raised by eager, and by more
// where that finds too little.
func (v *View) Melody(scores []int, eager int) []int {
	raised := make([]int, len(scores))
	for ; ; eager += moreEager {
		for i, s := range scores {
			raised[i] = s + eager
		}
		chain := v.Chain(raised)
		if eager+moreEager > mostEager || 100*v.covered(chain) >= leastCover*v.span() {
			return chain
		}
	}
}

// Likeliest is the line that scores of the forests make the likeliest: the best chain,
// or the top line where that is not likely by itself and hardly likelier.
func (v *View) Likeliest(scores []int) (notes []int, onTop bool) {
	chain, top := v.Melody(scores, v.eager()), v.topNotes()
	if doubtful(Sure(scores, chain), Sure(scores, top)) {
		return top, true
	}
	return chain, false
}

// doubtful tells whether a line of which so many notes in a hundred are expected
// to be right should give way to the top line, of which so many are. Music that
// the trees were not fitted to can look like no melody at all, and most music has
// it on top. The figures are the project's own.
func doubtful(sure, top int) bool { return sure < 60 && top > sure-20 }

// covered is how many ticks the notes of a chain sound.
func (m *Music) covered(chain []int) int {
	sum := 0
	for k, i := range chain {
		length := m.Notes[i].Length()
		if k+1 < len(chain) {
			length = min(length, m.Notes[chain[k+1]].On-m.Notes[i].On)
		}
		sum += length
	}
	return sum
}

// span is the ticks from the first onset to the last end.
func (m *Music) span() int {
	end := 0
	for i := range m.Notes {
		end = max(end, m.Notes[i].End)
	}
	if end == 0 {
		return 0
	}
	return end - m.Notes[0].On
}
