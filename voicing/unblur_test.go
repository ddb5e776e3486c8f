package voicing

import (
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

// TestUnblur: in measures that what rings makes muddy, the accompaniment loses notes
// that are told, and the melody none.
func TestUnblur(t *testing.T) {
	thinned := 0
	eachScore(t, func(t *testing.T, s *score.Score) {
		_, report := voiced(t, s, Options{})
		for _, c := range report.Changes {
			if c.Pass != (unblur{}).Name() {
				continue
			}
			thinned++
			if c.What != accompaniment.String() || c.LeftOut == "" {
				t.Errorf("%+v", c)
			}
		}
	})
	if t.Logf("%d notes", thinned); thinned == 0 {
		t.Error("nothing is thinned")
	}
}

// TestUnblurKeepsTheLastStrike: a measure does not lose its only strike of the
// accompaniment, muddy as it may be.
func TestUnblurKeepsTheLastStrike(t *testing.T) {
	s := scoretest.Score(t, "testdata/one-strike-in-a-measure.musicxml")
	for _, v := range Voicings() {
		for _, c := range voicedReport(t, s, v).Changes {
			if c.Pass == (unblur{}).Name() && c.Measure == "2" {
				t.Errorf("%s: %+v", v, c)
			}
		}
	}
}

func voicedReport(t *testing.T, s *score.Score, v Voicing) *Report {
	t.Helper()
	_, report := voiced(t, s, Options{Voicing: v})
	return report
}
