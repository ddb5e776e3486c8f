package playing_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/playing"
)

// TestResults holds what every score becomes, in all voicings at towers of every
// size, to the rules, which know nothing of any search: the limbs that Assign
// gives break none of them between the measures of which the report says that
// the melody is too fast.
func TestResults(t *testing.T) {
	files := append(scoretest.Shared(t), scoretest.Examples(t)...)
	for _, name := range []string{"23", "35", "47", "61"} {
		tower, err := instrument.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range voicing.Voicings() {
			t.Run(fmt.Sprint(name, " ", v), func(t *testing.T) {
				strokes := 0
				for _, file := range files {
					s := scoretest.Score(t, file)
					result, report, err := voicing.Voice(s, voicing.Options{Tower: tower, Voicing: v})
					if err != nil {
						t.Fatal(err)
					}
					for _, stretch := range untold(result, report) {
						strokes += len(stretch)
						limbs := playing.For(tower).Assign(stretch).Limbs
						if why := playing.BrokenRule(tower, stretch, limbs); why != "" {
							t.Errorf("%s, from %.2f s on: %s", filepath.Base(file), stretch[0].At, why)
						}
					}
				}
				t.Logf("%d strokes", strokes)
			})
		}
	}
}

// untold are the strokes of a score between the measures of which its report
// says that the melody cannot be played as it stands. Grace notes, which have no time of their own, are left out.
func untold(s *score.Score, report *voicing.Report) [][]playing.Stroke {
	told := map[string]bool{}
	for _, f := range report.Findings {
		if f.Pass == "settle" {
			told[f.Measure] = true
		}
	}
	clock := s.Clock()
	tones := s.Tones()
	slices.SortStableFunc(tones, func(x, y score.Tone) int { return x.Onset.Cmp(y.Onset) })
	stretches := [][]playing.Stroke{nil}
	for _, tone := range tones {
		n, last := tone.First(), len(stretches)-1
		switch {
		case n.Grace:
		case told[s.Parts[0].Measures[tone.Pieces[0].Measure].Number]:
			if len(stretches[last]) > 0 {
				stretches = append(stretches, nil)
			}
		default:
			stretches[last] = append(stretches[last], playing.Stroke{At: clock.Seconds(tone.Onset), Key: n.Pitch.MIDI(), Pedal: n.Staff == 2})
		}
	}
	return slices.DeleteFunc(stretches, func(s []playing.Stroke) bool { return len(s) == 0 })
}
