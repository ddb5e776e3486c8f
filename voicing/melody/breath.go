package melody

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"undersong/score"
)

// What speaks for a phrase's end after a note, and against it. The figures are
// the project's own; what counts as a breath is common practice, no source.
const (
	restWorth    = 5.0  // each quarter note of rest, up to two
	longWorth    = 2.5  // a note twice as long as usual, more for longer ones
	evenlyWorth  = 1.0  // one that the next is as long as
	slurWorth    = 1.5  // a slur that ends where another begins
	lineWorth    = 3.0  // the end of a line of words
	capitalWorth = 2.0  // a line of words that begins, by its capital
	breathWorth  = 8.0  // a breath mark, a caesura, a fermata
	barlineWorth = 3.0  // a double bar, a repeat, an ending
	pickupWorth  = 2.5  // one of these soon after the next note, which is a pickup
	inWord       = -100 // an end inside a word or a syllable: never
	endingWorth  = 1000 // the barline from one ending to another: always
	returnWorth  = 1.0  // something begins that is there twice, more for more of it
)

// pickup is how many quarter notes a pickup has at most.
const pickup = 2

// breaths tells for each note of the line what it is worth to end a phrase
// with it.
func breaths(s *score.Score, tones []score.Tone, line []int) []float64 {
	b := breather{usual: usualNote(tones, line), bars: bars(s), endings: endings(s), capitals: capitals(tones, line)}
	worth := make([]float64, len(line))
	word := false // inside one
	begins := returns(tones, line)
	inSyllable := sungOn(tones, line)
	for k := range line[:len(line)-1] {
		x, y := &tones[line[k]], &tones[line[k+1]]
		worth[k] = b.worth(x, y) + begins[k+1]
		if l := x.First().Lyrics; len(l) > 0 {
			word = slices.ContainsFunc(l, goesOn)
		}
		if inSyllable[k+1] || word && y.Onset.Sub(x.End()).Less(longestInWord) {
			worth[k] += inWord
		}
		if b.otherEnding(x, y) {
			worth[k] += endingWorth
		}
	}
	return worth
}

// longestInWord is a rest that no word goes on over: one whose end is missing.
var longestInWord = score.Whole

// longestSungOn is how long after a syllable the next one begins, at most: where a line goes
// on without its words for longer, it is not one syllable. The project's own figure.
var longestSungOn = score.Whole.Add(score.Whole)

// sungOn tells for each note of a line whether it goes on with the syllable before it:
// it has none of its own, there is no rest since that one, and the next comes soon after it.
func sungOn(tones []score.Tone, line []int) []bool {
	on := make([]bool, len(line))
	syllable := -1 // where the one before is
	for k, i := range line {
		if len(tones[i].First().Lyrics) == 0 {
			continue
		}
		if syllable >= 0 && !longestSungOn.Less(tones[i].Onset.Sub(tones[line[syllable]].Onset)) {
			for j := syllable + 1; j < k && !tones[line[j-1]].End().Less(tones[line[j]].Onset); j++ {
				on[j] = true
			}
		}
		syllable = k
	}
	return on
}

// goesOn tells whether a syllable is not the last of its word.
func goesOn(l score.Lyric) bool { return l.Syllabic == "begin" || l.Syllabic == "middle" }

// breather knows what of a score tells breaths.
type breather struct {
	usual    float64      // length of a note, in quarters
	bars     []score.Time // barlines that part sections
	endings  []score.Time // barlines from one ending to another
	capitals bool         // capitals begin lines of words
}

// otherEnding tells whether one ending ends between two notes and another begins: they
// are never played one after the other.
func (w *breather) otherEnding(a, b *score.Tone) bool {
	i, found := slices.BinarySearchFunc(w.endings, b.Onset, score.Time.Cmp)
	return found || i > 0 && a.Onset.Less(w.endings[i-1])
}

// worth is what an end between two notes of a melody is worth.
func (w *breather) worth(a, b *score.Tone) float64 {
	worth := restWorth * min(max(b.Onset.Sub(a.End()).Quarters(), 0), 2)
	apart := b.Onset.Sub(a.Onset).Quarters()
	if long := apart / w.usual; long >= 2 && apart > b.Length.Quarters() {
		worth += longWorth * min(math.Log2(long), 3)
	} else if long >= 2 && apart == b.Length.Quarters() {
		worth += evenlyWorth
	}
	if marked(a, "slur", "stop") && marked(b, "slur", "start") {
		worth += slurWorth
	}
	switch {
	case endsLine(a):
		worth += lineWorth
	case w.capitals && beginsLine(b):
		worth += capitalWorth
	}
	if marked(a, "breath-mark", "") || marked(a, "caesura", "") || marked(a, "fermata", "") {
		worth += breathWorth
	}
	i, _ := slices.BinarySearchFunc(w.bars, a.End(), score.Time.Cmp)
	switch {
	case i == len(w.bars):
	case !b.Onset.Less(w.bars[i]):
		worth += barlineWorth
	case w.bars[i].Sub(b.Onset).Quarters() <= pickup:
		worth += pickupWorth
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

// endings are the onsets of the barlines from one ending to another, in time order.
func endings(s *score.Score) []score.Time {
	starts := s.Starts()
	var all []score.Time
	for _, p := range s.Parts {
		open, before := false, false // an ending sounds here, or until here
		for i, m := range p.Measures {
			begins, ends := false, false
			for _, b := range m.Barlines {
				begins = begins || b.Ending.Type == "start"
				ends = ends || b.Ending.Type == "stop" || b.Ending.Type == "discontinue"
			}
			if begins && before {
				all = append(all, starts[i])
			}
			open = (open || begins) && !ends
			before = open || ends
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

// beginsLine tells whether the words under t begin with a capital, as "I"
// always does.
func beginsLine(t *score.Tone) bool {
	l := t.First().Lyrics
	if len(l) == 0 || l[0].Syllabic == "middle" || l[0].Syllabic == "end" {
		return false
	}
	text := strings.TrimLeft(l[0].Text, ` "'“‘„«(0123456789.`)
	first, size := utf8.DecodeRuneInString(text)
	second, _ := utf8.DecodeRuneInString(text[size:])
	return unicode.IsUpper(first) && (first != 'I' || unicode.IsLetter(second))
}

// capitals tells whether capitals are so rare in the words of a line that they
// can begin lines of verse: German has them for every noun.
func capitals(tones []score.Tone, line []int) bool {
	words, upper := 0, 0
	for _, i := range line {
		if l := tones[i].First().Lyrics; len(l) == 0 || l[0].Syllabic == "middle" || l[0].Syllabic == "end" {
			continue
		}
		if words++; beginsLine(&tones[i]) {
			upper++
		}
	}
	return 4*upper <= words
}

// What returns: so many intervals at least, and most for the worth of it.
const (
	returning     = 6
	mostReturning = 4 * returning
)

// returns tells for each note of a line what it is worth that something begins
// with it that is there twice, one after the other, alike in interval and rhythm, and
// does not begin before.
func returns(tones []score.Tone, line []int) []float64 {
	worth := make([]float64, len(line))
	if len(line) <= returning {
		return worth
	}
	steps := make([]uint64, len(line)-1) // from each note to the next
	for k := range steps {
		a, b := &tones[line[k]], &tones[line[k+1]]
		steps[k] = math.Float64bits(b.Onset.Sub(a.Onset).Quarters())*31 + uint64(b.Pitch.MIDI()-a.Pitch.MIDI()+128)
	}
	seen := map[uint64]int{}
	for k := 0; k+returning <= len(steps); k++ {
		var sum uint64
		for _, s := range steps[k : k+returning] {
			sum = sum*1_000_003 + s
		}
		j, ok := seen[sum]
		if !ok {
			seen[sum] = k
			continue
		}
		if k-j < returning || j > 0 && steps[j-1] == steps[k-1] {
			continue
		}
		n := returning
		for k+n < len(steps) && n < mostReturning && steps[j+n] == steps[k+n] {
			n++
		}
		w := returnWorth * (1 + math.Log2(float64(n)/returning))
		worth[j], worth[k] = max(worth[j], w), max(worth[k], w)
	}
	return worth
}
