package check_test

import (
	"fmt"
	"path/filepath"
	"testing"

	"undersong/instrument"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/check"
)

// TestResults holds every result, of all voicings at towers of every size, to
// this package, which knows nothing of how it was made: each note has a key, no
// third is struck low, nothing is too dense, what hands and feet cannot play is
// melody that is too fast in itself, and told in the report, and so is a measure
// in which the melody does not stand clear.
func TestResults(t *testing.T) {
	files := append(scoretest.Shared(t), scoretest.Examples(t)...)
	for _, name := range []string{"23", "35", "47", "61"} {
		tower, err := instrument.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range voicing.Voicings() {
			t.Run(fmt.Sprint(name, " ", v), func(t *testing.T) {
				for _, file := range files {
					result, report, err := voicing.Voice(scoretest.Score(t, file), voicing.Options{Tower: tower, Voicing: v})
					if err != nil {
						t.Fatal(err)
					}
					told, unclear := map[string]bool{}, map[string]bool{}
					for _, f := range report.Findings {
						told[f.Measure] = true
						unclear[f.Measure] = unclear[f.Measure] || f.Pass == "balance"
					}
					found, err := check.Score(result, check.Options{Tower: tower, Tune: report.Tune})
					if err != nil {
						t.Fatal(err)
					}
					for _, f := range found.Findings {
						switch f.Category {
						case check.Compass, check.LowThirds, check.TooDense:
							t.Errorf("%s, measure %s: %s: %s", filepath.Base(file), f.Measure, f.Category, f.Text)
						case check.Balance:
							if !unclear[f.Measure] {
								t.Errorf("%s, measure %s: %s, and the report does not say so", filepath.Base(file), f.Measure, f.Text)
							}
						case check.Unplayable:
							if !told[f.Measure] {
								t.Errorf("%s, measure %s: %s, and the report does not say so", filepath.Base(file), f.Measure, f.Text)
							}
						}
					}
				}
			})
		}
	}
}
