package model

// Looks is how often the notes are scored, each time with what the time
// before has shown of their surroundings.
const Looks = 3

// eager is added to every score: a reader would rather have a doubtful note
// in the melody than a hole.
const eager = 500

// Forests are those of all looks, for written music and for music played.
type Forests struct{ Written, Played [Looks]Forest }

// Scores are the notes' scores by the forests of all looks, positive for the
// likely ones.
func (v *View) Scores(f *Forests) []int {
	looks := &f.Written
	if v.Played() {
		looks = &f.Played
	}
	var scores []int
	for _, f := range looks {
		scores = f.Scores(v.Rows(scores), scores)
	}
	for i := range scores {
		scores[i] += eager
	}
	return scores
}

// Fitted are the notes' scores by the forests that come with the package.
func (v *View) Fitted() []int {
	if len(forests().Written[0]) == 0 {
		return v.ByRules()
	}
	return v.Scores(forests())
}
