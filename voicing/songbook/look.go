package songbook

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"undersong/voicing/check"
	"undersong/voicing/melody"
)

// reason is why a person should look at a score: how much of the score it
// concerns, from 0 to 1, and the words.
type reason struct {
	share float64
	text  string
}

// Bells ring into each other and a melody may go down an octave with its
// phrase: only from these shares on is that a reason to look. They are the
// project's own.
const (
	someMeasures = 0.25 // of all measures, blurred or out of balance
	someNotes    = 0.1  // of the melody, in another octave than most
)

// reasons are all that a row has, the one that concerns most of the score first.
func (r *Row) reasons() []reason {
	if r.Error != "" {
		return []reason{{math.Inf(1), "failed"}}
	}
	var all []reason
	add := func(n, of int, from float64, format string, args ...any) {
		if share := float64(n) / float64(max(of, 1)); n > 0 && share >= from {
			all = append(all, reason{share, fmt.Sprintf(format, args...)})
		}
	}
	if r.Sure < melody.SureEnough {
		add(100-r.Sure, 100, 0, "melody sure to %d %% only", r.Sure)
	}
	for _, text := range r.Notices {
		all = append(all, reason{1, text})
	}
	for _, text := range r.Absent {
		what, _, _ := strings.Cut(text, ":")
		all = append(all, reason{1, what})
	}
	add(r.Against, r.Verdicts.Sections(), 0, "inverted, but better left plain: %d of %d sections", r.Against, r.Verdicts.Sections())
	add(r.MelodyMoved, r.MelodyNotes, someNotes, "melody in another octave: %d of %d notes", r.MelodyMoved, r.MelodyNotes)
	for _, c := range check.Categories() {
		switch n := r.Findings[c]; c {
		case check.Blur, check.Balance:
			add(n, r.Measures, someMeasures, "%s: %d of %d measures", c, n, r.Measures)
		case check.TooDense:
			add(n, r.Measures, 0, "%s: %d of %d measures", c, n, r.Measures)
		default:
			add(n, r.Strokes, 0, "%s: %d of %d strokes", c, n, r.Strokes)
		}
	}
	if r.Asked > 0 {
		add(r.Difficulty-r.Asked, 5, 0, "difficulty %d, asked for %d", r.Difficulty, r.Asked)
	}
	slices.SortStableFunc(all, func(a, b reason) int { return cmp.Compare(b.share, a.share) })
	return all
}

// look is all reasons in words, and the greatest share of the score that one of
// them concerns.
func (r *Row) look() (text string, share float64) {
	var texts []string
	for _, why := range r.reasons() {
		texts, share = append(texts, why.text), max(share, why.share)
	}
	return strings.Join(texts, "; "), share
}
