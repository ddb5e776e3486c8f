package score_test

import (
	"fmt"
	"strings"
	"testing"

	"undersong/score"
)

// sketch builds a score of one part from a line of signs, whole notes in 4/4
// with a pitch of their own for each measure:
//
//	1          a measure of this number
//	|:  :|  :|3   forward repeat before the next, backward after the last measure
//	[1,2  ]    an ending starts before the next, stops after the last measure
//	<Segno     words at the start of the next measure (_ for a space)
//	>Fine      words at the end of the last measure
//	@coda      a sign of this name at the start of the next measure
func sketch(t testing.TB, line string) *score.Score {
	t.Helper()
	p := &score.Part{ID: "P1", Staves: 1}
	next := &score.Measure{}
	for word := range strings.FieldsSeq(line) {
		var last *score.Measure
		if n := len(p.Measures); n > 0 {
			last = p.Measures[n-1]
		}
		switch {
		case word == "|:":
			next.Barlines = append(next.Barlines, score.Barline{Location: "left", Style: "heavy-light", Repeat: "forward"})
		case strings.HasPrefix(word, ":|"):
			b := score.Barline{Onset: last.Length, Location: "right", Style: "light-heavy", Repeat: "backward", Source: 7}
			fmt.Sscan(word[2:], &b.Times)
			last.Barlines = append(last.Barlines, b)
		case word[0] == '[':
			next.Barlines = append(next.Barlines, score.Barline{
				Location: "left", Ending: score.Ending{Numbers: strings.ReplaceAll(word[1:], "_", " "), Type: "start"},
			})
		case word == "]":
			last.Barlines = append(last.Barlines, score.Barline{
				Onset: last.Length, Location: "right", Ending: score.Ending{Numbers: "1", Type: "stop"},
			})
		case word[0] == '<':
			next.Directions = append(next.Directions, direction(score.Time{}, "words", word[1:]))
		case word[0] == '@':
			next.Directions = append(next.Directions, direction(score.Time{}, word[1:], ""))
		case word[0] == '>':
			last.Directions = append(last.Directions, direction(last.Length, "words", word[1:]))
		default:
			next.Number, next.Length = word, score.Whole
			next.Notes = []score.Note{{
				Source: score.Source(100 + len(p.Measures)), Staff: 1, Voice: 1, Length: score.Whole,
				Pitch: score.Spell(60 + len(p.Measures)),
			}}
			p.Measures = append(p.Measures, next)
			next = &score.Measure{}
		}
	}
	p.Measures[0].Times = []score.TimeChange{{Time: commonTime()}}
	return &score.Score{Title: line, Parts: []*score.Part{p}}
}

func direction(onset score.Time, name, text string) score.Direction {
	return score.Direction{Onset: onset, Source: 9, Signs: []score.Sign{
		{Name: name, Text: strings.ReplaceAll(text, "_", " "), Number: 1, Source: 10},
	}}
}

func commonTime() score.TimeSignature {
	return score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}
}

// measure is the measure of a sketch with this number.
func measure(t testing.TB, s *score.Score, number string) *score.Measure {
	t.Helper()
	for _, m := range s.Parts[0].Measures {
		if m.Number == number {
			return m
		}
	}
	t.Fatalf("no measure %s", number)
	return nil
}

// measureNumbers are the numbers of all measures of a score.
func measureNumbers(s *score.Score) string {
	var all []string
	for _, m := range s.Parts[0].Measures {
		all = append(all, m.Number)
	}
	return strings.Join(all, " ")
}
