package form

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"undersong/score/scoretest"
	"undersong/score/shorthand"
	"undersong/voicing/melody"
)

// otherForms are the pieces of testdata/forms.txt that are parted otherwise than there,
// and how.
var otherForms = map[string]string{
	"Clementi, op. 36 no. 1, first movement, whole":                                        "A 1, B 5, C 9, D 17, A 24, E 28, C′ 31",
	"Beethoven, op. 49 no. 2, first movement, exposition, shortened":                       "A 1, B 25",
	"Chopin, op. 28 no. 4, prelude in E minor, whole":                                      "A 1, B 9",
	"Burgmueller, op. 100 no. 2, arabesque, whole":                                         "Intro 1, A 3, B 9, A′ 19, C 25",
	"Schumann, op. 15 no. 1, of foreign lands, whole":                                      "A 1",
	"Beethoven, op. 90, second movement, beginning":                                        "A 1, A′ 6, B 10, B 14, A′ 18, B′ 22",
	"Handel, Xerxes, largo, four measures of introduction, repeated chords, set for piano": "A 1",
	"Nicolai, sleepers wake, chorale in four parts, set after the usual way":               "A 1, B 7, A 11, B′ 17",
}

// TestPieces: pieces for piano are parted where a musician would (testdata/README.md).
func TestPieces(t *testing.T) {
	text, err := os.ReadFile("testdata/forms.txt")
	if err != nil {
		t.Fatal(err)
	}
	cuts := map[string][]string{}
	for line := range strings.Lines(string(text)) {
		title, at, _ := strings.Cut(line, ": ")
		cuts[title] = strings.Split(strings.TrimSpace(at), ", ")
	}
	for _, p := range slices.Concat(scoretest.Openings(t, "../fit/pieces/mixed.txt"), scoretest.Openings(t, "whole.txt")) {
		want, ok := cuts[p.Title]
		if !ok {
			continue
		}
		delete(cuts, p.Title)
		tones := p.Score.Tones()
		var found, at []string
		for _, s := range Sections(p.Score, tones, melody.Find(p.Score, tones, melody.Options{})) {
			found, at = append(found, fmt.Sprint(s.Name, " ", s.First+1)), append(at, fmt.Sprint(s.First+1))
		}
		got := strings.Join(found, ", ")
		if other := otherForms[p.Title]; other != "" {
			if got != other {
				t.Errorf("%s: sections %s, were %s", p.Title, got, other)
			}
			continue
		}
		for i, cut := range want {
			measure, name, named := strings.Cut(cut, " ")
			if named && !slices.Contains(found, name+" "+measure) || !strings.HasSuffix(measure, "?") && !slices.Contains(at, measure) {
				t.Errorf("%s: sections %s, want one from %s", p.Title, got, cut)
			}
			want[i] = strings.TrimSuffix(measure, "?")
		}
		for _, m := range at {
			if !slices.Contains(want, m) {
				t.Errorf("%s: sections %s, want none from %s", p.Title, got, m)
			}
		}
	}
	for title := range cuts {
		t.Errorf("there is no piece %q", title)
	}
}

// TestMissed: measures in which no melody was found have a letter; those in which the user
// says that there is none have a name for that.
func TestMissed(t *testing.T) {
	pieces, err := shorthand.Read("= A tune that is not found to its end\nin 4 sharps 0 other\n" +
		"1 tune: C5=1 D5 E5 F5 | G5=2 G5 | A5=1 A5 G5 G5 | E5=4 | C5=1 D5 E5 F5 | G5=2 G5 | A5=1 A5 B5 B5 | C6=4 | r=4x8\n" +
		"2: C3+E3+G3=4x16\n")
	if err != nil {
		t.Fatal(err)
	}
	p := pieces[0]
	tones := p.Score.Tones()
	line := melody.Line{Told: make([]bool, p.Score.MeasureCount())}
	for i := range tones {
		if p.Melody[tones[i].First()] {
			line.Tones = append(line.Tones, i)
		}
	}
	line.Phrases = []melody.Phrase{{Last: len(line.Tones)}}
	for want, told := range map[string]bool{"A 1–8, B 9–16": false, "A 1–8, Ending 9–16": true} {
		for m := range line.Told {
			line.Told[m] = told
		}
		var got []string
		for _, s := range Sections(p.Score, tones, line) {
			got = append(got, fmt.Sprintf("%s %d–%d", s.Name, s.First+1, s.Last+1))
		}
		if got := strings.Join(got, ", "); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
