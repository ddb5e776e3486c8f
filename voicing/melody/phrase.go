package melody

import (
	"fmt"
	"slices"
	"strings"

	"undersong/score"
)

// Phrase is a stretch of the melody between breaths.
type Phrase struct {
	First, Last int // of Line.Tones: Tones[First:Last]
	// Sure is how sure the finder is, in per cent: 50 is a coin tossed, 100 a
	// line that the score or the user sets apart.
	Sure int
	// Rival is the line it might be instead, where Sure is below 75: indexes
	// of tones in time order. RivalFrom says where most of it stands, such as
	// "part Piano, staff 2".
	Rival     []int
	RivalFrom string
}

// unsure is the sureness below which a phrase names its rival.
const unsure = 75

// phrases parts line, indexes of tones, at its breaths.
func phrases(tones []score.Tone, line []int) []Phrase {
	long := longNote(tones, line)
	var all []Phrase
	first := 0
	for k := range line {
		if k == len(line)-1 || k-first >= 2 && breath(&tones[line[k]], &tones[line[k+1]], long) {
			all = append(all, Phrase{First: first, Last: k + 1, Sure: 100})
			first = k + 1
		}
	}
	return all
}

// longNote is the length from which a note ends a phrase: twice the usual one
// and no less than a half note.
func longNote(tones []score.Tone, line []int) score.Time {
	var lengths []score.Time
	for _, i := range line {
		lengths = append(lengths, tones[i].Length)
	}
	if len(lengths) == 0 {
		return score.Whole
	}
	slices.SortFunc(lengths, score.Time.Cmp)
	return score.Max(score.Quarters(2), lengths[len(lengths)/2].Mul(2, 1))
}

// breath tells whether a phrase ends between two notes of a melody: at a rest
// of half a quarter or more, after a long note, and, followed by any rest or
// by a note that begins a new one, at the end of a slur or of a line of words.
func breath(a, b *score.Tone, long score.Time) bool {
	rest := b.Onset.Sub(a.End())
	switch {
	case !rest.Less(score.Frac(1, 2)), !a.Length.Less(long):
		return true
	case marked(a, "stop") && marked(b, "start"):
		return !a.Length.Less(score.Quarter)
	}
	return endsLine(a)
}

func marked(t *score.Tone, slur string) bool {
	for _, p := range t.Pieces {
		for _, m := range p.Note.Marks {
			if m.Name == "slur" && m.Type == slur {
				return true
			}
		}
	}
	return false
}

// endsLine tells whether the words under t end with a stop.
func endsLine(t *score.Tone) bool {
	for _, l := range t.First().Lyrics {
		if text := strings.TrimRight(l.Text, `"'”’»)`); text != "" && strings.ContainsAny(text[len(text)-1:], ".,;:!?") {
			return true
		}
	}
	return false
}

// staffName is where most of the tones stand.
func staffName(s *score.Score, tones []score.Tone, line []int) string {
	count := map[stave]int{}
	var most stave
	for _, i := range line {
		at := staveOf(&tones[i])
		if count[at]++; count[at] > count[most] {
			most = at
		}
	}
	p := s.Parts[most.part]
	if p.Staves == 1 {
		return "part " + partName(p)
	}
	return fmt.Sprintf("part %s, staff %d", partName(p), most.staff)
}
