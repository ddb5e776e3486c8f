package melody

import (
	"cmp"
	"fmt"
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

// begins are the measures, and the quarters in them, at which the phrases of a
// line begin.
func begins(s *score.Score, line func(*score.Tone) bool) string {
	tones, starts := s.Tones(), s.Starts()
	var of []int
	for i := range tones {
		if line(&tones[i]) {
			of = append(of, i)
		}
	}
	var all []string
	for _, p := range phrases(s, tones, of) {
		first := &tones[of[p.First]]
		m := first.Pieces[0].Measure
		text := fmt.Sprint(m + 1)
		if at := first.Onset.Sub(starts[m]); at.Sign() > 0 {
			text += "+" + at.String()
		}
		all = append(all, text)
	}
	return strings.Join(all, " ")
}

// TestOpeningPhrases: where the phrases of openings whose phrases are plain to
// see begin; the tune as it is marked. Those that are found elsewhere are named:
// without its slurs the prelude is one phrase, and the second phrase of the
// bagatelle begins with the last note of the figure before it.
func TestOpeningPhrases(t *testing.T) {
	missed := map[string]string{
		"Beethoven, bagatelle for Elise":     "1+1 5+3/4",
		"Chopin, op. 28 no. 7, prelude in A": "1",
	}
	for _, o := range scoretest.Openings(t, "openings.txt") {
		want, marked := o.Marks["phrases"]
		if !marked {
			continue
		}
		if got := begins(o.Score, func(t *score.Tone) bool { return o.Melody[t.First()] }); got != cmp.Or(missed[o.Title], want) {
			t.Errorf("%s: phrases begin at %s, want %s", o.Title, got, want)
		}
	}
}

// line builds a voice in 4/4 from notes such as "C4=1/2", "r" for a rest; after
// a note "^" is a fermata, "," a breath mark and
// "'word" a syllable, of which "wo-" goes on, with "/" between verses. "||" is a double
// bar, "[" and "]" stand around an ending of one measure.
func line(t *testing.T, text string) *score.Score {
	t.Helper()
	p := &score.Part{ID: "P1", Staves: 1}
	m := &score.Measure{Length: score.Whole}
	at, length := score.Time{}, score.Quarter
	for _, token := range strings.Fields(text) {
		if token == "||" {
			last := p.Measures[len(p.Measures)-1]
			last.Barlines = append(last.Barlines, score.Barline{Location: "right", Style: "light-light"})
			continue
		}
		if token == "[" {
			m.Barlines = append(m.Barlines, score.Barline{Location: "left", Ending: score.Ending{Type: "start"}})
			continue
		}
		if token == "]" {
			last := p.Measures[len(p.Measures)-1]
			last.Barlines = append(last.Barlines, score.Barline{Location: "right", Ending: score.Ending{Type: "stop"}})
			continue
		}
		token, words, _ := strings.Cut(token, "'")
		name := strings.TrimRight(token, "^,")
		signs := token[len(name):]
		name, l, ok := strings.Cut(name, "=")
		if ok {
			length = scoretest.Quarters(t, l)
		}
		if name != "r" {
			n := score.Note{Staff: 1, Voice: 1, Onset: at, Length: length, Pitch: scoretest.Pitch(t, name)}
			for sign, mark := range map[string]score.Mark{
				"^": {Name: "fermata"}, ",": {Name: "breath-mark"},
			} {
				if strings.Contains(signs, sign) {
					n.Marks = append(n.Marks, mark)
				}
			}
			for word := range strings.FieldsFuncSeq(words, func(r rune) bool { return r == '/' }) {
				syllabic := "single"
				if text, more := strings.CutSuffix(word, "-"); more {
					word, syllabic = text, "begin"
				}
				n.Lyrics = append(n.Lyrics, score.Lyric{Text: word, Syllabic: syllabic})
			}
			m.Notes = append(m.Notes, n)
		}
		if at = at.Add(length); !at.Less(score.Whole) {
			p.Measures = append(p.Measures, m)
			m, at = &score.Measure{Length: score.Whole}, score.Time{}
		}
	}
	if at.Sign() > 0 {
		p.Measures = append(p.Measures, m)
	}
	for i, m := range p.Measures {
		m.Number = fmt.Sprint(i + 1)
	}
	return &score.Score{Parts: []*score.Part{p}}
}

// TestBreaths: one sign that a phrase ends in music that has no other.
func TestBreaths(t *testing.T) {
	const q = "C4=1 D4 F4 E4 "     // a measure
	const r = "G4=1 E4 A4 B4 "     // another
	const u = "A4=1 F4 D4 G4 "     // a third
	const v = "E4=1 G4 F4 D4 "     // a fourth
	plain := q + r + u + v + v + u // six measures
	for _, c := range []struct{ name, text, want string }{
		{"nothing", plain, "1"},
		{"a rest", q + r + "A4 F4 D4 r " + v + v + u, "1 4"},
		{"a long note", q + r + "A4 F4 D4=2 " + v + v + u, "1 4"},
		{"a fermata", q + r + "A4=1 F4 D4 G4^ " + v + v + u, "1 4"},
		{"a breath mark", q + r + "A4=1 F4 D4 G4, " + v + v + u, "1 4"},
		{"a double bar", q + r + u + "|| " + v + v + u, "1 4"},
		{"a pickup to a double bar", q + r + "A4=1 F4 D4=2/3 r=1/3 G4=1 || " + v + v + u, "1 3+3"},
		{"the end of a line", q + r + "A4=1'we F4'go D4'a- G4'way, " + v + v + u, "1 4"},
		{"a capital", q + r + "A4=1'we F4'go D4'a- G4'way A4'And F4'we D4'go G4'on E4'and F4'so A4'it E4'is F4'now, " + v + u, "1 4"},
		{"a capital where some words have one", q + r + "A4=1'we F4'go D4'on G4'now A4'And F4'Ann D4'goes G4'on E4'and F4'so A4'does E4'Tom F4'now " + v + u, "1 4"},
		{"no end inside a word", q + r + "A4=1'we F4'go D4'now G4=3'a- || A4=1'way " + v + v + u, "1 3+3"},
		{"none there even under a fermata", q + r + "A4=1'we F4'go D4'now G4^'a- A4=1'way " + v + v + u, "1"},
		{"nor in a later verse", q + r + "A4=1'we F4'go D4'now G4^'on/a- A4=1'and/way " + v + v + u, "1"},
		{"none inside a syllable", q + r + "A4=1'we F4'go D4'now G4'oh || A4=1 F4'my D4'love G4'on " + v + v + u, "1 3+3"},
		{"before the words begin", q + r + u + "|| E4=1 G4 F4 D4 A4'we F4'go D4'now G4'on " + v + u, "1 4"},
		{"a word whose end is missing", q + r + "A4=1'we F4'go D4'now G4'a- r=4 " + v + v + u, "1 5"},
		{"from ending to ending", q + r + u + "[ G4=1 E4 C4 C4 ] [ G4=1 E4 C4 C4 ]", "1 5"},
		{"endings that lead back", q + r + u + "[ G4=3 C4=1 ] [ G4=3 C4=1 ] [ G4=4 ]", "1 4+3 5 5+3 6"},
		{"a long rest and a pickup", q + r + "A4=2 r=1 C4 " + v + v + u, "1 3+3"},
	} {
		if got := begins(line(t, c.text), plays); got != c.want {
			t.Errorf("%s: phrases begin at %s, want %s", c.name, got, c.want)
		}
	}
}

// TestPhrasesCover: phrases follow each other without gaps over the whole line.
func TestPhrasesCover(t *testing.T) {
	for _, o := range scoretest.Openings(t, "openings.txt") {
		found := Find(o.Score, o.Score.Tones(), Options{})
		next := 0
		for _, p := range found.Phrases {
			if p.First != next || p.Last <= p.First {
				t.Errorf("%s: a phrase from %d to %d after %d", o.Title, p.First, p.Last, next)
			}
			next = p.Last
		}
		if next != len(found.Tones) {
			t.Errorf("%s: phrases cover %d of %d notes", o.Title, next, len(found.Tones))
		}
	}
}
