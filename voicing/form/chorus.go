package form

import (
	"strings"
)

// What speaks for a section that returns being the chorus; the project's own
// figures. A chorus brings its words again, lies higher than what is around it
// and comes last (common practice, no source).
const (
	wordsWorth  = 3.0
	higherWorth = 1.0 // each three semitones above the mean of the piece
	laterWorth  = 1.0 // it is not what the piece begins with
)

// findChorus makes the chorus of what returns most like one, where the score
// names none. A piece of one tune, or with one that only begins it, has none.
func (f *reader) findChorus(sections []Section) {
	byLetter := map[string][]int{}
	var order []string
	for i := range sections {
		if sections[i].Kind == Chorus {
			return
		}
		letter := strings.TrimSuffix(sections[i].Letter, "′")
		if letter == "" || sections[i].Kind != Other {
			continue
		}
		if byLetter[letter] == nil {
			order = append(order, letter)
		}
		byLetter[letter] = append(byLetter[letter], i)
	}
	best, most := "", 0.0
	for k, letter := range order {
		if len(byLetter[letter]) < 2 {
			continue
		}
		worth := f.chorusWorth(sections, byLetter[letter])
		if k > 0 {
			worth += laterWorth
		}
		if worth > most {
			best, most = letter, worth
		}
	}
	if most < laterWorth || len(order) < 2 {
		return
	}
	for _, i := range byLetter[best] {
		sections[i].Kind = Chorus
	}
}

func (f *reader) chorusWorth(sections []Section, of []int) float64 {
	worth := higherWorth * (f.meanPitch(sections[of[0]].First, sections[of[0]].Last+1) - f.meanPitch(0, len(f.tune))) / 3
	words := f.words(&sections[of[0]])
	for _, i := range of[1:] {
		if words != "" && f.words(&sections[i]) == words {
			return worth + wordsWorth
		}
	}
	return worth
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

// words are what is sung in a section, without the pickup to it.
func (f *reader) words(s *Section) string {
	var b strings.Builder
	for _, i := range f.line.Tones {
		t := &f.tones[i]
		if m := t.Pieces[0].Measure; m < s.First || m > s.Last {
			continue
		}
		for _, l := range t.First().Lyrics {
			b.WriteString(strings.ToLower(strings.Trim(l.Text, ".,;:!? ")))
		}
	}
	return b.String()
}
