package voicing

import (
	"slices"
	"strings"
	"testing"

	"undersong/score/scoretest"
	"undersong/voicing/melody"
)

// TestUnsure: a melody that is not sure is told, as a whole or where.
func TestUnsure(t *testing.T) {
	counts := map[string]int{}
	for _, o := range scoretest.Openings(t, "openings.txt") {
		line := melody.Find(o.Score, o.Score.Tones(), melody.Options{})
		want := ""
		switch {
		case line.SureOfAll() < melody.SureEnough:
			want = "the melody is sure to "
		case slices.ContainsFunc(line.Phrases, func(p melody.Phrase) bool { return p.Sure < melody.SureEnough }):
			want = "the melody is not sure in measures "
		}
		counts[want]++
		_, report, err := Voice(o.Score, Options{})
		if err != nil {
			t.Fatal(err)
		}
		told := slices.ContainsFunc(report.Findings, func(f Finding) bool {
			return want != "" && strings.HasPrefix(f.Text, want) || want == "" && strings.HasPrefix(f.Text, "the melody is ")
		})
		if told != (want != "") {
			t.Errorf("%s: sure to %d %%, phrases %v, findings %v, not %q", o.Title, line.SureOfAll(), line.Phrases, report.Findings, want)
		}
	}
	if len(counts) < 3 {
		t.Errorf("not all cases are met: %v", counts)
	}
}
