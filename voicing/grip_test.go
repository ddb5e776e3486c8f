package voicing

import (
	"slices"
	"testing"

	"undersong/score"
)

// TestDoubleAllOrNothing: where the source doubles the melody with nothing beside it, the
// hands double all of it or none ("doubled notes go first", but what breaks off is heard
// as a mistake: common practice, no source).
func TestDoubleAllOrNothing(t *testing.T) {
	const alone = 5 // notes in a measure
	measure := [][]int{{60, 60}, {60, 60}, {65, 65}, {67, 67}, {69, 69}, {70, 52, 60, 67, 70}, {69, 53, 60, 65, 69}, {67, 48, 60, 64, 67}}
	a := arrange(t, sung(score.Frac(1, 2), slices.Concat(measure, measure, measure, measure)...), Options{Voicing: Inverted}, "accompany")
	doubled := map[int]int{} // by measure
	for _, n := range a.with(accompaniment) {
		if i := a.measureAt(n.Onset); n.Onset.Less(a.starts[i].Add(score.Frac(alone, 2))) {
			doubled[i]++
		}
	}
	for i, n := range doubled {
		if n != alone {
			t.Errorf("measure %d: %d notes of %d are doubled", i+1, n, alone)
		}
	}
}

// TestBassIsNoTreble: no note of the accompaniment goes up by four octaves, as a bass
// would that becomes a treble note.
func TestBassIsNoTreble(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		for _, v := range []Voicing{Tenor, Covered} {
			for _, c := range voicedReport(t, s, v).Changes {
				if c.What == accompaniment.String() && c.Octaves > 3 {
					t.Errorf("%s: measure %s, beat %s: %s goes to %s", v, c.Measure, c.Beat, c.Note, c.To)
				}
			}
		}
	})
}
