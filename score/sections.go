package score

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// section is a stretch of measures, start to end, played several times.
type section struct {
	start, end int
	times      int
	afterJump  bool
	endings    []ending
}

// ending is a volta and the times that it is for.
type ending struct {
	start, end int
	numbers    []int // none: the times that no other ending claims
	back       bool  // a backward repeat closes it
}

// choose is the measure where the n-th time goes on when it comes to the
// endings: at one of them, or behind them all.
func (s *section) choose(n int) int {
	for _, e := range s.endings {
		if slices.Contains(e.numbers, n) {
			return e.start
		}
	}
	for _, e := range s.endings {
		if len(e.numbers) == 0 {
			return e.start
		}
	}
	return s.end + 1
}

// countTimes sets how often a section with endings is played.
func (s *section) countTimes() {
	open := false
	highest := 0
	for _, e := range s.endings {
		open = open || len(e.numbers) == 0
		for _, n := range e.numbers {
			highest = max(highest, n)
		}
	}
	if lone := len(s.endings) == 1 && s.endings[0].back; lone && open {
		s.endings[0].numbers, highest = []int{1}, 2
	} else if lone || open {
		highest++
	}
	s.times = max(s.times, highest)
}

// endingsFrom is the section whose endings begin at measure i.
func (f *form) endingsFrom(i int) (int, bool) {
	n := f.measures[i].group
	return n, n >= 0 && f.sections[n].endings[0].start == i
}

// endingAt is the ending that measure i is in, with its section.
func (f *form) endingAt(i int) (*section, *ending) {
	n := f.measures[i].group
	if n < 0 {
		return nil, nil
	}
	s := &f.sections[n]
	for k := range s.endings {
		if e := &s.endings[k]; i <= e.end {
			return s, e
		}
	}
	return nil, nil
}

// index tells the measures which sections they belong to.
func (f *form) index() {
	for i := range f.measures {
		f.measures[i].group = -1
	}
	for n := range f.sections {
		s := &f.sections[n]
		f.measures[s.start].begins = append(f.measures[s.start].begins, n)
		if len(s.endings) == 0 {
			f.measures[s.end].closes = append(f.measures[s.end].closes, n)
			continue
		}
		for i := s.endings[0].start; i <= s.end; i++ {
			f.measures[i].group = n
		}
		for _, e := range s.endings {
			if e.back {
				f.measures[e.end].closes = append(f.measures[e.end].closes, n)
			}
		}
	}
}

// pairRepeats finds the sections: which forward repeat belongs to which
// backward one, and to which endings.
func (f *form) pairRepeats() {
	groups := f.endingGroups()
	ends := groupEnds(groups)
	var open []int // forward repeats
	after := 0     // where a repeat without one goes
	for i := range f.measures {
		m := &f.measures[i]
		if m.forward {
			open = append(open, i)
		}
		if !m.backward {
			continue
		}
		at := ends[i]
		g := at.group
		if g != nil && len(open) > 0 && open[len(open)-1] > g.endings[0].start {
			g = nil // a repeat of its own inside the ending
		}
		if g != nil && g.times > 0 { // not the first ending
			at.ending.back, g.times = true, max(g.times, m.times)
			continue
		}
		s := section{start: min(after, i), end: i, times: m.times, afterJump: m.afterJump}
		if len(open) > 0 {
			s.start, open = open[len(open)-1], open[:len(open)-1]
		}
		if after = i + 1; g == nil {
			f.sections = append(f.sections, s)
			continue
		}
		at.ending.back, after = true, g.end+1
		g.start, g.times, g.afterJump = s.start, s.times, s.afterJump
	}
	f.addGroups(groups)
}

// addGroups adds the sections with endings. Endings without any repeat wait
// for a jump back; without one they are played through.
func (f *form) addGroups(groups []*section) {
	jumps := slices.ContainsFunc(f.measures, func(m formMeasure) bool { return m.jump.set })
	for _, g := range groups {
		if g.times == 0 && !jumps {
			continue
		}
		g.countTimes()
		f.sections = append(f.sections, *g)
	}
	slices.SortStableFunc(f.sections, func(a, b section) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(b.end, a.end))
	})
	f.index()
}

// endingGroups are the endings that follow each other, as sections that do
// not know their start yet.
func (f *form) endingGroups() []*section {
	var groups []*section
	for _, e := range f.findEndings() {
		var g *section
		if n := len(groups); n > 0 && groups[n-1].end+1 == e.start && !groups[n-1].claims(e.numbers) {
			g = groups[n-1]
		} else {
			g = &section{start: e.start}
			groups = append(groups, g)
		}
		g.endings = append(g.endings, e)
		g.end = e.end
	}
	return groups
}

// claims tells whether one of the endings is for one of the times already.
func (s *section) claims(numbers []int) bool {
	for _, e := range s.endings {
		for _, n := range numbers {
			if slices.Contains(e.numbers, n) {
				return true
			}
		}
	}
	return false
}

// findEndings are all voltas in order.
func (f *form) findEndings() []ending {
	var all []ending
	for i := range f.measures {
		if m := &f.measures[i]; len(m.endings) > 0 {
			all = append(all, ending{start: i, end: f.endingEnd(i), numbers: endingNumbers(m.endings[0])})
		}
	}
	return all
}

// endingEnd is the last measure of the ending that starts at i. One without
// a sign of its end goes to the next one, or the first backward repeat before
// that, and is one measure long where there is neither.
func (f *form) endingEnd(i int) int {
	backward := -1
	for j := i; j < len(f.measures); j++ {
		m := &f.measures[j]
		switch {
		case j > i && len(m.endings) > 0:
			if backward >= 0 {
				return backward
			}
			return j - 1
		case m.endingStop:
			return j
		case m.backward && backward < 0:
			backward = j
		}
	}
	return max(i, backward)
}

// groupEnds finds endings by their last measure.
func groupEnds(groups []*section) map[int]groupEnd {
	ends := map[int]groupEnd{}
	for _, g := range groups {
		for k := range g.endings {
			ends[g.endings[k].end] = groupEnd{g, &g.endings[k]}
		}
	}
	return ends
}

type groupEnd struct {
	group  *section
	ending *ending
}

// maxTimes bounds the numbers of an ending.
const maxTimes = 1000

// endingNumbers reads "1", "1, 2", "1.-3.". What has no number, "last time",
// gives none.
func endingNumbers(text string) []int {
	text = strings.NewReplacer("–", "-", ".", " ").Replace(text)
	text = strings.Join(strings.Fields(text), " ")
	text = strings.NewReplacer(" -", "-", "- ", "-").Replace(text)
	var numbers []int
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return notDigit(r) && r != '-' }) {
		low, high, isRange := strings.Cut(word, "-")
		from, err := strconv.Atoi(low)
		to := from
		if isRange && err == nil {
			to, err = strconv.Atoi(high)
		}
		if err != nil || from < 1 || to < from || to > maxTimes {
			continue
		}
		for n := from; n <= to; n++ {
			numbers = append(numbers, n)
		}
	}
	return numbers
}
