package form

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing/melody"
)

// tune is one piece of testdata/tunes.txt, whose README.md describes its
// notation.
type tune struct {
	title    string
	score    *score.Score
	sections string       // letters
	parts    []score.Time // where they begin
	phrases  []score.Time // where they begin
}

func tunes(t *testing.T) []*tune {
	t.Helper()
	text, err := os.ReadFile("testdata/tunes.txt")
	if err != nil {
		t.Fatal(err)
	}
	var all []*tune
	for _, piece := range strings.Split("\n"+string(text), "\n= ")[1:] {
		all = append(all, readTune(t, piece))
	}
	return all
}

func readTune(t *testing.T, text string) *tune {
	lines := strings.SplitN(strings.TrimSpace(text), "\n", 3)
	u := &tune{title: lines[0]}
	head := strings.Fields(lines[1])
	length, at := scoretest.Quarters(t, head[1]), score.Time{}
	long := score.Quarter
	var notes []score.Note
	words := map[score.Time]string{}
	for _, token := range strings.Fields(lines[2]) {
		switch {
		case token[0] == '[':
			u.sections += strings.Trim(token, "[]")
			u.parts = append(u.parts, at)
			continue
		case token == "/":
			u.phrases = append(u.phrases, at)
			continue
		case token == "|":
			continue
		case token[0] == '"':
			words[at] = strings.Trim(token, `"`)
			continue
		}
		token, fermata := strings.CutSuffix(token, "^")
		name, l, ok := strings.Cut(token, "=")
		if ok {
			long = scoretest.Quarters(t, l)
		}
		if name != "r" {
			n := score.Note{Staff: 1, Voice: 1, Onset: at, Length: long, Pitch: scoretest.Pitch(t, name)}
			if fermata {
				n.Marks = []score.Mark{{Name: "fermata"}}
			}
			notes = append(notes, n)
		} else if n := len(u.phrases) - 1; n >= 0 && u.phrases[n] == at {
			u.phrases[n] = at.Add(long) // a phrase begins with a note
		}
		at = at.Add(long)
	}
	first := length
	if len(head) > 2 {
		first = scoretest.Quarters(t, head[3])
	}
	u.score = measured(notes, words, first, length, at)
	return u
}

// measured is notes, whose onsets count from the beginning, in measures, with
// words over them.
func measured(notes []score.Note, words map[score.Time]string, first, length, end score.Time) *score.Score {
	p := &score.Part{ID: "P1", Name: "Voice", Staves: 1}
	for at := (score.Time{}); at.Less(end); {
		m := &score.Measure{Number: strconv.Itoa(len(p.Measures)), Length: length}
		if first != length && len(p.Measures) == 0 {
			m.Length = first
		}
		if first == length {
			m.Number = strconv.Itoa(len(p.Measures) + 1)
		}
		for _, n := range notes {
			if !n.Onset.Less(at) && n.Onset.Less(at.Add(m.Length)) {
				n.Onset = n.Onset.Sub(at)
				m.Notes = append(m.Notes, n)
			}
		}
		for when, text := range words {
			if !when.Less(at) && when.Less(at.Add(m.Length)) {
				m.Directions = append(m.Directions, score.Direction{
					Onset: when.Sub(at), Signs: []score.Sign{{Name: "words", Text: text}}})
			}
		}
		at = at.Add(m.Length)
		p.Measures = append(p.Measures, m)
	}
	p.Measures[0].Times = []score.TimeChange{{Time: score.TimeSignature{
		Groups: []score.BeatGroup{{Beats: []int{int(length.Num())}, Unit: 4}}}}}
	return &score.Score{Parts: []*score.Part{p}}
}

func TestTunes(t *testing.T) {
	for _, u := range tunes(t) {
		t.Run(u.title, func(t *testing.T) {
			tones := u.score.Tones()
			line := melody.Find(u.score, tones, melody.Options{})
			var phrases []score.Time
			for _, p := range line.Phrases {
				phrases = append(phrases, tones[line.Tones[p.First]].Onset)
			}
			if got, want := fmt.Sprint(phrases), fmt.Sprint(u.phrases); got != want {
				t.Errorf("phrases begin at\n%s, want\n%s", got, want)
			}
			letters := ""
			var parts []score.Time
			for _, s := range Sections(u.score, tones, line) {
				letters += strings.TrimSuffix(s.Letter, "′")
				parts = append(parts, s.From)
			}
			if strings.Contains(u.sections, "?") {
				return
			}
			if got, want := fmt.Sprint(letters, parts), fmt.Sprint(u.sections, u.parts); got != want {
				t.Errorf("sections %s, want %s", got, want)
			}
		})
	}
}
