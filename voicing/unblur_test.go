package voicing

import (
	"testing"

	"undersong/score"
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
