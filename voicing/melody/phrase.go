package melody

import (
	"fmt"
	"math"
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

// What a phrase's end is worth, and what its length costs. The figures are the
// project's own; what counts as a breath is common practice, no source.
const (
	restWorth    = 5.0 // each quarter note of rest, up to two
	longWorth    = 2.5 // a note twice as long as usual, more for longer ones
	slurWorth    = 1.5 // a slur that ends where another begins
	lineWorth    = 3.0 // the end of a line of words
	breathWorth  = 5.0 // a breath mark, a caesura, a fermata
	barlineWorth = 3.0 // a double bar, a repeat, an ending
	pickupWorth  = 2.5 // one of these soon after the next note, which is a pickup
	endCost      = 3.0 // of any end: what it has to be worth at least
	lengthCost   = 1.5 // each doubling or halving away from the usual length
	shortest     = 3   // notes
)

// usualMeasures is how many measures a phrase has (common practice, no
// source), of 2 to 6 quarter notes each.
const usualMeasures = 4

// pickup is how many quarter notes a pickup has at most.
const pickup = 2

// longestPhrase is how many notes a phrase has at most.
const longestPhrase = 64

// phrases parts line, indexes of tones, at its breaths: of all ways to part
// it the one whose ends are worth most, less what unusual lengths cost.
func phrases(s *score.Score, tones []score.Tone, line []int) []Phrase {
	n := len(line)
	if n == 0 {
		return nil
	}
	usual, ends := usualLength(s), breaths(s, tones, line)
	best, from := make([]float64, n+1), make([]int, n+1)
	for last := 1; last <= n; last++ {
		best[last] = math.Inf(-1)
		for first := last - 1; first >= max(0, last-longestPhrase); first-- {
			if last-first < shortest && first > 0 && last < n {
				continue
			}
			length := tones[line[last-1]].End().Sub(tones[line[first]].Onset).Quarters()
			worth := best[first] + ends[last-1] - lengthCost*math.Abs(math.Log2(max(length, 1)/usual))
			if worth > best[last] {
				best[last], from[last] = worth, first
			}
		}
	}
	var all []Phrase
	for last := n; last > 0; last = from[last] {
		all = append(all, Phrase{First: from[last], Last: last, Sure: 100})
	}
	slices.Reverse(all)
	return all
}

// usualLength is the usual length of a phrase in quarter notes.
func usualLength(s *score.Score) float64 {
	var lengths []score.Time
	starts := s.Starts()
	for i := range s.MeasureCount() {
		lengths = append(lengths, starts[i+1].Sub(starts[i]))
	}
	if len(lengths) == 0 {
		return 16
	}
	slices.SortFunc(lengths, score.Time.Cmp)
	return usualMeasures * min(max(lengths[len(lengths)/2].Quarters(), 2), 6)
}

// breaths tells for each note of the line what it is worth to end a phrase
// with it.
func breaths(s *score.Score, tones []score.Tone, line []int) []float64 {
	usual, bars := usualNote(tones, line), bars(s)
	worth := make([]float64, len(line))
	for k := range line[:len(line)-1] {
		worth[k] = breath(&tones[line[k]], &tones[line[k+1]], usual, bars) - endCost
	}
	return worth
}

// usualNote is the middle one of the lengths of a line's notes, in quarters.
func usualNote(tones []score.Tone, line []int) float64 {
	lengths := make([]score.Time, len(line))
	for k, i := range line {
		lengths[k] = tones[i].Length
	}
	slices.SortFunc(lengths, score.Time.Cmp)
	return max(lengths[len(lengths)/2].Quarters(), 1./8)
}

// breath is what an end between two notes of a melody is worth.
func breath(a, b *score.Tone, usual float64, bars []score.Time) float64 {
	worth := restWorth * min(max(b.Onset.Sub(a.End()).Quarters(), 0), 2)
	apart := b.Onset.Sub(a.Onset).Quarters()
	if long := apart / usual; long >= 2 && apart > b.Length.Quarters() {
		worth += longWorth * min(math.Log2(long), 3)
	}
	if marked(a, "slur", "stop") && marked(b, "slur", "start") {
		worth += slurWorth
	}
	if endsLine(a) {
		worth += lineWorth
	}
	if marked(a, "breath-mark", "") || marked(a, "caesura", "") || marked(a, "fermata", "") {
		worth += breathWorth
	}
	i, _ := slices.BinarySearchFunc(bars, a.End(), score.Time.Cmp)
	switch {
	case i == len(bars):
	case !b.Onset.Less(bars[i]):
		worth += barlineWorth
	case bars[i].Sub(b.Onset).Quarters() <= pickup:
		worth += pickupWorth
	}
	return worth
}

// bars are the onsets of the barlines that part sections, in time order.
func bars(s *score.Score) []score.Time {
	starts := s.Starts()
	var all []score.Time
	for _, p := range s.Parts {
		for i, m := range p.Measures {
			for _, b := range m.Barlines {
				switch {
				case b.Location == "left" && (b.Repeat != "" || b.Ending.Type == "start"):
					all = append(all, starts[i])
				case b.Location == "right" && (b.Repeat != "" || b.Style == "light-light" || b.Style == "light-heavy"):
					all = append(all, starts[i+1])
				}
			}
		}
	}
	slices.SortFunc(all, score.Time.Cmp)
	return slices.Compact(all)
}

func marked(t *score.Tone, name, kind string) bool {
	for _, p := range t.Pieces {
		for _, m := range p.Note.Marks {
			if m.Name == name && (kind == "" || m.Type == kind) {
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
