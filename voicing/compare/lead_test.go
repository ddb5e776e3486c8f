package compare

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/lead"
	"undersong/voicing/plan"
	"undersong/voicing/study"
)

// TestLeadSheets: every lead sheet can be played in every figure, inverted, plain
// and with a figure for one measure, at 35 and 47 bells.
func TestLeadSheets(t *testing.T) {
	sheets := 0
	for _, path := range append(scoretest.Shared(t), "../../examples/nets-in-the-loft/nets-in-the-loft.musicxml") {
		a := study.Analyse(scoretest.Score(t, path), nil)
		if !lead.Sheet(a.Score, a.Tones) {
			continue
		}
		sheets++
		for _, name := range []string{"35", "47"} {
			tower, err := instrument.Named(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range lead.Figures() {
				ways := []*plan.Plan{{Voicing: voicing.Inverted, Figure: f}, {Voicing: voicing.Plain, Figure: f}}
				if f == lead.Tremolo {
					ways = append(ways, &plan.Plan{Voicing: voicing.Plain, Items: []plan.Item{{Where: "1", Voicing: voicing.Inverted, Manner: voicing.Manner{Figure: f}}}})
				}
				for _, p := range ways {
					row := Voice(filepath.Base(path), a, p, voicing.Options{Tower: tower})
					what := fmt.Sprintf("%s on %s, %s, %s, %d sections", row.Name, name, p.Voicing, f, len(p.Items))
					if row.Error != "" {
						t.Errorf("%s: %s", what, row.Error)
						continue
					}
					for _, f := range impossible(&row) {
						t.Errorf("%s: measure %s: %s", what, f.Measure, f.Text)
					}
					if f != lead.Tremolo && !strings.Contains(row.Report.Figure, string(f)) {
						t.Errorf("%s: the figure is %s", what, row.Report.Figure)
					}
				}
			}
		}
	}
	if sheets == 0 {
		t.Error("there is no lead sheet")
	}
	t.Logf("%d lead sheets", sheets)
}

// impossible are the findings of a result that no player can get over.
func impossible(r *Row) (found []check.Finding) {
	for _, f := range r.Check.Findings {
		switch f.Category {
		case check.Compass, check.LowThirds, check.Unplayable:
			found = append(found, f)
		}
	}
	return found
}
