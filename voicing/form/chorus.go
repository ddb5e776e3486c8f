package form

import (
	"cmp"
	"slices"
	"strings"

	"undersong/score"
)

// What speaks for a section that returns being the chorus; the project's own
// figures. A chorus brings its words again, is printed with one line of words
// under a song of several verses, lies higher than what is around it, does not
// come first and follows verses (common practice, no source).
const (
	wordsWorth  = 3.0
	higherWorth = 1.0 // each three semitones above the mean of the piece
	laterWorth  = 1.0 // it is not what the piece begins with
	verseWorth  = 2.0 // it follows what the score heads as verses
	chorusWorth = 1.0 // the least
)

// kin are the sections of one letter.
type kin struct {
	letter   string
	sections []int
	played   int  // times in all
	again    bool // after something else
}

// families are the sections without a kind by letter, primes left out, in the
// order of the piece.
func families(sections []Section) []*kin {
	var all []*kin
	at := map[string]*kin{}
	for i := range sections {
		letter := tuneOf(sections[i].Letter)
		if letter == "" || sections[i].Kind != Other {
			continue
		}
		if at[letter] == nil {
			at[letter] = &kin{letter: letter}
			all = append(all, at[letter])
		}
		at[letter].sections = append(at[letter].sections, i)
		at[letter].played += sections[i].Times
		at[letter].again = at[letter].again || sections[i].again
	}
	return all
}

// tuneOf is a letter without its prime.
func tuneOf(letter string) string { return strings.TrimSuffix(letter, "′") }

// findChorus makes the chorus of what returns most like one, where the score
// names none, or else of what is printed as one.
func (f *reader) findChorus(sections []Section) {
	for i := range sections {
		if sections[i].Kind == Chorus {
			return
		}
	}
	lines := f.mostLines(sections)
	of, because := f.likeliest(sections, lines)
	if of == nil {
		of, because = f.refrains(sections), oneLine
	}
	for _, i := range of {
		sections[i].Kind, sections[i].Because = Chorus, because
	}
}

// likeliest are the sections, by index, of the letter that is most like a chorus,
// and why, where the song has so many lines of words. A piece of one tune, or
// with one that only begins it, has none; and what it begins with is one only by
// its words.
func (f *reader) likeliest(sections []Section, lines float64) (of []int, because string) {
	first, more := tunesOf(sections)
	if !more {
		return nil, ""
	}
	most := chorusWorth
	all := families(sections)
	begins, last := playedFirst(all, first), lastTune(sections)
	for _, family := range all {
		s := &sections[family.sections[0]]
		sung := len(f.sung(s.From, s.To)) > 0
		ends := slices.Contains(family.sections, last)
		if family.played < 2 || !sung && (family.letter == first || !family.refrain(begins, ends)) {
			continue
		}
		worth, why := f.chorusWorth(sections, family, lines)
		if family.letter != first {
			worth += laterWorth
		}
		if afterVerses(sections, family.sections) > 1 {
			worth += verseWorth
		}
		if worth > most || of == nil && worth == most {
			of, most, because = family.sections, worth, why
		}
	}
	return of, because
}

// playedFirst is how often the tune of a letter is played, 0 where the score says of all
// its sections what they are.
func playedFirst(all []*kin, letter string) int {
	for _, k := range all {
		if k.letter == letter {
			return k.played
		}
	}
	return 0
}

// lastTune is the last section with melody, by index.
func lastTune(sections []Section) int {
	last := len(sections) - 1
	for last > 0 && sections[last].Letter == "" {
		last--
	}
	return last
}

// refrain tells whether a family of a piece without words can be its chorus: it is there
// more often than the tune that begins, or as often or at the end and not only by a repeat
// sign (as in dances).
func (k *kin) refrain(begins int, ends bool) bool {
	return k.played > begins || k.again && (k.played == begins || ends)
}

// afterVerses is how many of some sections follow what the score heads as a verse.
func afterVerses(sections []Section, of []int) (n int) {
	for _, i := range of {
		if i > 0 && sections[i-1].Kind == Verse {
			n++
		}
	}
	return n
}

// tunesOf is the letter, without its prime, that a piece begins with, and whether
// there are more.
func tunesOf(sections []Section) (first string, more bool) {
	for i := range sections {
		letter := tuneOf(sections[i].Letter)
		first = cmp.Or(first, letter)
		more = more || letter != "" && letter != first
	}
	return first, more
}

// How many lines of words, on the mean, are one line and several; the project's
// own figures.
const (
	oneAtMost    = 1.25
	severalAbove = 1.75
)

// refrainsFrom are the measures from which several lines of words become one that is
// sung as often, or one several, for a section's length before and after.
func (f *reader) refrainsFrom() (measures []int) {
	type run struct {
		from int
		one  bool
	}
	var runs []run
	var times []int
	verse := -1 // the measure of the last phrase with several lines
	for i, p := range f.line.Phrases {
		lines, at := linesOf(f.sungBy(f.line.Tones[p.First:p.Last])), f.begins[i].measure
		switch {
		case lines > severalAbove:
			verse = at
			if times == nil {
				times = timesPlayed(f.score)
			}
		case lines == 0 || lines >= oneAtMost || verse >= 0 && times[at] < times[verse]:
			continue // the last has its words once, as an ending has
		}
		if one := lines < oneAtMost; len(runs) == 0 || runs[len(runs)-1].one != one {
			runs = append(runs, run{at, one})
		}
	}
	runs = append(runs, run{from: len(f.tune)})
	for i := 1; i+1 < len(runs); i++ {
		if runs[i].from-runs[i-1].from >= shortest && runs[i+1].from-runs[i].from >= shortest {
			measures = append(measures, runs[i].from)
		}
	}
	return measures
}

// oneLine is why a section is a chorus that is printed as one.
const oneLine = "it has one line of words under several verses"

// refrains are the sections, by index, that are printed as the refrain of the
// verses before them, though nothing returns or the tune is theirs: one line of
// words, which is no further verse, after several, and played as often.
func (f *reader) refrains(sections []Section) (of []int) {
	verse := -1 // the last section with several lines
	for i := range sections {
		s := &sections[i]
		switch lines := f.lines(s.From, s.To); {
		case lines > severalAbove:
			verse = i
		case verse >= 0 && 0 < lines && lines < oneAtMost && s.Kind == Other && s.Times >= sections[verse].Times &&
			f.among(s, &sections[verse]):
			of = append(of, i)
		}
	}
	return of
}

// among tells whether the lines of words of a section are lines of another one too,
// by their numbers, or have a name.
func (f *reader) among(s, other *Section) bool {
	there := map[string]bool{}
	for _, n := range f.sung(other.From, other.To) {
		for _, l := range n.Lyrics {
			there[l.Verse] = true
		}
	}
	for _, n := range f.sung(s.From, s.To) {
		for _, l := range n.Lyrics {
			if !there[l.Verse] && isNumber(l.Verse) {
				return false
			}
		}
	}
	return true
}

// chorusWorth is what speaks for a family being the chorus, and why, where the
// song has so many lines of words. Words that change with every return speak
// against it.
func (f *reader) chorusWorth(sections []Section, family *kin, lines float64) (worth float64, because string) {
	first := &sections[family.sections[0]]
	worth = higherWorth * (f.meanPitch(first.First, first.Last+1) - f.meanPitch(0, len(f.tune))) / 3
	because = "its melody returns"
	if worth > 0 {
		because += ", higher than the rest"
	}
	words := f.words(first.From, first.To)
	if len(words) == 0 {
		return worth, because
	}
	if len(family.sections) == 1 {
		if f.lines(first.From, first.To) < oneAtMost && lines > severalAbove {
			return worth + wordsWorth, oneLine
		}
		return worth - wordsWorth, because
	}
	for _, i := range family.sections[1:] {
		if s := &sections[i]; sameWords(f.words(s.From, s.To), words) {
			return worth + wordsWorth, "its melody returns with its words"
		}
	}
	return worth - wordsWorth, because
}

func (f *reader) meanPitch(first, end int) float64 {
	sum, n := 0.0, 0
	for _, m := range f.tune[first:end] {
		for _, b := range m {
			sum, n = sum+float64(b.pitch), n+1
		}
	}
	return sum / float64(max(n, 1))
}

// sung are the melody's notes from one moment until before another that have words.
func (f *reader) sung(from, to score.Time) []*score.Note {
	by := func(i int, at score.Time) int { return f.tones[i].Onset.Cmp(at) }
	first, _ := slices.BinarySearchFunc(f.line.Tones, from, by)
	end, _ := slices.BinarySearchFunc(f.line.Tones, to, by)
	return f.sungBy(f.line.Tones[first:end])
}

// sungBy are those of some tones, by index, that have words.
func (f *reader) sungBy(tones []int) (notes []*score.Note) {
	for _, i := range tones {
		if n := f.tones[i].First(); len(n.Lyrics) > 0 {
			notes = append(notes, n)
		}
	}
	return notes
}

// words are the syllables that are sung from one moment until before another, sorted.
func (f *reader) words(from, to score.Time) []string {
	var words []string
	for _, n := range f.sung(from, to) {
		for _, l := range n.Lyrics {
			words = append(words, strings.ToLower(strings.Trim(l.Text, ".,;:!? ")))
		}
	}
	slices.Sort(words)
	return words
}

// sameWords tells whether two sections have three syllables of four in common.
func sameWords(a, b []string) bool {
	common, all := 0, len(a)+len(b)
	for len(a) > 0 && len(b) > 0 {
		switch strings.Compare(a[0], b[0]) {
		case -1:
			a = a[1:]
		case 1:
			b = b[1:]
		default:
			a, b, common = a[1:], b[1:], common+1
		}
	}
	return 4*2*common >= 3*all
}

// lines is how many lines of words there are on the mean, from one moment until before
// another, under notes that have any.
func (f *reader) lines(from, to score.Time) float64 { return linesOf(f.sung(from, to)) }

func linesOf(notes []*score.Note) float64 {
	lines := 0
	for _, n := range notes {
		lines += len(n.Lyrics)
	}
	return float64(lines) / float64(max(len(notes), 1))
}

func (f *reader) mostLines(sections []Section) float64 {
	most := 0.0
	for i := range sections {
		most = max(most, f.lines(sections[i].From, sections[i].To))
	}
	return most
}
