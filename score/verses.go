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

// shared is where a measure with several verses has words that all of them sing:
// before the first moment, where a refrain ends, and from the second on, where one
// begins.
type shared struct{ until, from Time }

// has tells whether the words at t are such.
func (s shared) has(t Time) bool { return t.Less(s.until) || !t.Less(s.from) }

// shared are the measures' words that all verses sing, where each measure is played so
// often. A refrain has whole measures with verse 1 alone that are played again; what stands alone around them belongs to it by whole words: of
// the others a verse may have more syllables than the next.
func (p *Part) shared(count []int) []shared {
	all := make([]shared, len(p.Measures))
	refrain := make([]bool, len(p.Measures))
	for i, m := range p.Measures {
		all[i].from = m.Length
		refrain[i] = count[i] > 1 && slices.Equal(m.verses(), []int{1})
	}
	for i, m := range p.Measures {
		if len(m.verses()) < 2 {
			continue
		}
		words := m.words()
		if i > 0 && refrain[i-1] {
			for k, w := range words {
				if !w.alone {
					break
				}
				if w.ends && k+1 < len(words) {
					all[i].until = words[k+1].onset
				}
			}
		}
		if i+1 < len(p.Measures) && refrain[i+1] {
			for _, w := range slices.Backward(words) {
				if !w.alone {
					break
				}
				if w.begins {
					all[i].from = w.onset
				}
			}
		}
	}
	return all
}

// syllables are those that are sung at one moment.
type syllables struct {
	onset        Time
	alone        bool // only verse 1 has one
	begins, ends bool // a word
}

// words are the syllables of m's numbered verses, in time order.
func (m *Measure) words() []syllables {
	var all []syllables
	for i := range m.Notes {
		n := &m.Notes[i]
		for j := range n.Lyrics {
			y := &n.Lyrics[j]
			verse, numbered := y.verse()
			if !numbered {
				continue
			}
			at, found := slices.BinarySearchFunc(all, n.Onset, func(w syllables, t Time) int { return w.onset.Cmp(t) })
			if !found {
				all = slices.Insert(all, at, syllables{n.Onset, true, true, true})
			}
			w := &all[at]
			w.alone = w.alone && verse == 1
			w.begins = w.begins && y.Syllabic != "middle" && y.Syllabic != "end"
			w.ends = w.ends && y.Syllabic != "begin" && y.Syllabic != "middle"
		}
	}
	return all
}

// keepVerse leaves of the numbered verses the one of a time through, and what all
// sing, as verse 1: it is the only one now, and its words go on from measure to
// measure. In a measure that is played once all stay, unless there is only that one.
func (l *leaf) keepVerse(through int, once bool, refrain shared) {
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
		note := &m.Notes[i]
		keep := sung
		if refrain.has(note.Onset) {
			keep = 1
		}
		note.Lyrics = slices.DeleteFunc(note.Lyrics, func(y Lyric) bool {
			n, ok := y.verse()
			return ok && n != keep
		})
		for j := range note.Lyrics {
			if y := &note.Lyrics[j]; y.Verse == strconv.Itoa(keep) {
				y.Verse = "1"
			}
		}
	}
}
