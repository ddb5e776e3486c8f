package voicing

import "testing"

// TestLeftOutInVain: whatever is left out because it cannot be played, or to free a limb
// for the melody, would make more impossible if it were struck.
func TestLeftOutInVain(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		a := arrange(t, o.doc.Score(), Options{Tower: o.tower, Voicing: o.voicing}, settle{}.Name())
		impossible := func() (count int) {
			for _, p := range a.player.Assign(a.strokes(a.struck())).Problems {
				if p.Reason.Impossible() {
					count++
				}
			}
			return count
		}
		without := impossible()
		for _, c := range a.report.Changes {
			if c.Pass != (settle{}.Name()) || c.LeftOut == "" {
				continue
			}
			c.of.leftOut = ""
			if impossible() <= without {
				t.Errorf("%s in measure %s, beat %s, is left out in vain: %s", c.Note, c.Measure, c.Beat, c.LeftOut)
			}
			c.of.leftOut = c.LeftOut
		}
	})
}
