package melody

import "undersong/score"

// longRest is in how many measures in a row a melody that had to be found is missed
// by a reader: the project's own figure.
const longRest = 4

// Measures are the measures of a score from First to Last, by index.
type Measures struct{ First, Last int }

// Missing are the measures in which a line that had to be found rests for long while
// something else is struck in each of them: a reader may know a melody there. A line that
// the score or the user tells rests where it rests. tones are s.Tones().
func (l *Line) Missing(s *score.Score, tones []score.Tone) (all []Measures) {
	if len(l.Tones) == 0 {
		return nil
	}
	rests := restingRows(s, tones, l.Tones)
	struck := make([]bool, len(rests))
	for i := range tones {
		if plays(&tones[i]) {
			struck[tones[i].Pieces[0].Measure] = true
		}
	}
	for m := 0; m < len(rests); m++ {
		first := m
		for m < len(rests) && rests[m] > 0 && struck[m] && !l.Told[m] {
			m++
		}
		if m-first >= longRest {
			all = append(all, Measures{first, m - 1})
		}
	}
	return all
}
