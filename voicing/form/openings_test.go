package form

import (
	"cmp"
	"fmt"
	"strings"
	"testing"

	"undersong/score/scoretest"
	"undersong/voicing/melody"
)

// TestOpenings: an opening is not cut up, and an introduction that only
// accompanies is told from what follows.
func TestOpenings(t *testing.T) {
	for _, o := range scoretest.Openings(t, "openings.txt") {
		tones := o.Score.Tones()
		var found []string
		for _, s := range Sections(o.Score, tones, melody.Find(o.Score, tones, melody.Options{})) {
			found = append(found, fmt.Sprint(s.Name, " ", s.First+1))
		}
		want := cmp.Or(o.Marks["sections"], "A 1")
		if got := strings.Join(found, ", "); got != want {
			t.Errorf("%s: sections %s, want %s", o.Title, got, want)
		}
	}
}
