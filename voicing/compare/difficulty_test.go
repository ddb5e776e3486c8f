package compare

import (
	"path/filepath"
	"testing"

	"undersong/instrument"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/plan"
	"undersong/voicing/study"
)

// TestDifficulty: over all scores, a harder arrangement has more strokes and is
// measured to be no easier, and none asks for what the player cannot do, but for a
// melody that is too fast in itself.
func TestDifficulty(t *testing.T) {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	var strokes, levels [6]int
	for _, path := range append(scoretest.Shared(t), "../../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml") {
		a := study.Analyse(scoretest.Score(t, path), nil)
		for d := 1; d <= 5; d++ {
			row := Voice(filepath.Base(path), a, &plan.Plan{Voicing: voicing.Inverted, Difficulty: d}, voicing.Options{Tower: tower})
			if row.Error != "" {
				t.Fatalf("%s: %s", row.Name, row.Error)
			}
			strokes[d] += row.Check.Strokes
			levels[d] += row.Difficulty
			if d < 3 {
				continue // a slow hand is told of more, but not always at the same stroke
			}
			for _, f := range impossible(&row) {
				t.Errorf("%s, difficulty %d, measure %s: %s", row.Name, d, f.Measure, f.Text)
			}
		}
	}
	t.Logf("strokes %v, levels %v", strokes[1:], levels[1:])
	for d := 2; d <= 5; d++ {
		if strokes[d] <= strokes[d-1] || levels[d] < levels[d-1] {
			t.Errorf("from %d to %d: %d, then %d strokes; levels %d, then %d", d-1, d, strokes[d-1], strokes[d], levels[d-1], levels[d])
		}
	}
	if 4*strokes[5] < 5*strokes[1] {
		t.Errorf("%d strokes for a slow hand, %d for a virtuoso", strokes[1], strokes[5])
	}
}
