package score

import (
	"fmt"
	"slices"
	"strconv"
)

// VersesUnsung tells where the verses of the lyrics do not fit the times that
// their measures are played, so that [Score.WrittenOut] sings one again or
// leaves one out: an [*Error] for each, with the part and the first of the
// measures in a row that it is so in. The errors of [Score.Performance] come
// alone.
func (s *Score) VersesUnsung() []error {
	order, err := s.Performance()
	if err != nil {
		return []error{err}
	}
	throughs := make([][]int, s.MeasureCount()) // of each measure
	for _, o := range order {
		throughs[o.Measure] = append(throughs[o.Measure], o.Through)
	}
	var all []error
	for _, p := range s.Parts {
		var before []string
		for i, m := range p.Measures {
			problems := unsung(m.verses(), throughs[i])
			for _, problem := range problems {
				if !slices.Contains(before, problem) {
					all = append(all, &Error{Place: Place{Part: p.ID, Measure: m.Number}, Problem: problem})
				}
			}
			if len(m.Notes) > 0 {
				before = problems
			}
		}
	}
	return all
}

// unsung is what is wrong with the verses of a measure that is played at
// these times through. Played once it keeps all of them.
func unsung(verses, throughs []int) []string {
	if len(throughs) < 2 || len(verses) < 2 {
		return nil
	}
	var problems []string
	for _, through := range throughs {
		switch verse := verseFor(verses, through); verse {
		case through:
		case 0:
			problems = append(problems, fmt.Sprintf("time %d through has no verse: the first is %d", through, verses[0]))
		default:
			problems = append(problems, fmt.Sprintf("time %d through has no verse of its own: verse %d is sung again", through, verse))
		}
	}
	for _, verse := range verses {
		if !slices.Contains(throughs, verse) {
			problems = append(problems, fmt.Sprintf("verse %d is not sung: there is no time %d through; if there should be, say so at the repeat (times)", verse, verse))
		}
	}
	return problems
}

// verses are the verses of m that have numbers, in order.
func (m *Measure) verses() []int {
	var verses []int
	for i := range m.Notes {
		for j := range m.Notes[i].Lyrics {
			if n, ok := m.Notes[i].Lyrics[j].verse(); ok && !slices.Contains(verses, n) {
				verses = append(verses, n)
			}
		}
	}
	slices.Sort(verses)
	return verses
}

// verse is the number of l's verse, if it has one.
func (l *Lyric) verse() (int, bool) {
	n, err := strconv.Atoi(l.Verse)
	return n, err == nil && n > 0
}

// verseFor is which of verses, in order, is sung at a time through: that of
// its number, else the last one before, else none, 0.
func verseFor(verses []int, through int) int {
	best := 0
	for _, v := range verses {
		if v <= through {
			best = v
		}
	}
	return best
}

// keepVerse leaves of the numbered verses the one of a time through, as verse
// 1: it is the only one now, and its words go on from measure to measure. In a
// measure that is played once all stay, unless there is only that one.
func (l *leaf) keepVerse(through int, once bool) {
	verses := l.verses()
	sung := verseFor(verses, through)
	switch {
	case len(verses) == 0 || len(verses) == 1 && verses[0] == sung && sung == 1:
		return
	case once && (len(verses) > 1 || verses[0] != through):
		return
	}
	m := l.edit()
	for i := range m.Notes {
		m.Notes[i].Lyrics = slices.DeleteFunc(m.Notes[i].Lyrics, func(y Lyric) bool {
			n, ok := y.verse()
			return ok && n != sung
		})
		for j := range m.Notes[i].Lyrics {
			if y := &m.Notes[i].Lyrics[j]; y.Verse == strconv.Itoa(sung) {
				y.Verse = "1"
			}
		}
	}
}
