package voicing

import (
	"slices"
	"strings"
	"testing"

	"undersong/voicing/melody"
)

// TestUnsure: a melody that is not sure is told, as a whole or where.
func TestUnsure(t *testing.T) {
	s := lampSong(t)
	for _, c := range []struct {
		sure, first int // per cent, of the first phrase
		want        string
	}{
		{100, 100, ""},
		{100, 60, "the melody is not sure in measures 1–4 (60 % at least): "},
		{50, 100, "the melody is sure to 5"},
	} {
		line := melody.Find(s, s.Tones(), melody.Options{})
		for i := range line.Phrases {
			line.Phrases[i].Sure = c.sure
		}
		line.Phrases[0].Sure = c.first
		_, report, err := Voice(s, Options{Known: &Known{Line: line}})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(report.Findings, func(f Finding) bool { return strings.HasPrefix(f.Text, "the melody is ") })
		if told := i >= 0; told != (c.want != "") || told && !strings.HasPrefix(report.Findings[i].Text, c.want) {
			t.Errorf("sure to %d %%, the first phrase to %d: findings %+v, want %q", c.sure, c.first, report.Findings, c.want)
		}
	}
}
