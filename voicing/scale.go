package voicing

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"undersong/voicing/melody"
)

// levels are MusicXML's plain dynamic marks from the softest to the loudest.
var levels = []string{
	"pppppp", "ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "fffff", "ffffff",
}

// level is the index of a mark in levels, -1 of one that is no level, such as
// sfz.
func level(mark string) int { return slices.Index(levels, mark) }

const (
	// The accompaniment is at least one mark softer than the melody, and at most
	// four: the project's own.
	leastSteps, mostApart = 1, 4
	// mostRaise is by how many marks the melody is raised at most: the project's own.
	mostRaise = 4
	// mostSteps is how many marks the accompaniment is under the source's at most;
	// where that is not enough the melody is raised. The project's own.
	mostSteps = 3
	// softestMark leaves a touch that bells still answer, loudestMark is an
	// extreme to whoever plays it: nothing is marked beyond them that the source
	// does not mark so.
	softestMark, loudestMark = "pp", "ff"
)

// What raising the melody by one mark costs, and by more as the square, for each
// mark of the source and for each measure where it holds; and what it costs that
// the melody does not stand clear in a measure, and each mark that it would have
// to be louder for that; and that two marks of the source become one. A mark that
// the plan asks for, or that parts the melody from the rest at all, is worth any of
// them. The figures are the project's own.
const (
	raiseCost        = 0.1
	raiseMeasureCost = 0.01
	coveredCost      = 0.5
	shortCost        = 1.0
	partedCost       = 100.0
	alikeCost        = 8.0
)

// scale is by how many marks the melody is raised where the source has a mark.
type scale map[string]int

// mark is the one that a line so many marks under the melody has where the
// source has another; ok is false where it has none. Nothing but the melody is
// marked louder than in the source, unless the plan asks for it.
func (s *levelStretch) mark(source string, under int) (mark string, ok bool) {
	at := level(source)
	if at < 0 {
		return source, under == 0 // an accent is the melody's
	}
	to := min(at+s.raised[source], len(levels)-1)
	if under > 0 {
		lowest, highest := min(at, level(softestMark)), to
		if !s.asked() {
			lowest, highest = max(lowest, at-mostSteps), at
		}
		to = max(min(to-under, highest), lowest)
	}
	return levels[to], true
}

// marked is by how many marks the melody is over the rest where the source has a
// mark.
func (s *levelStretch) marked(source string) apart {
	under := func(steps int) int {
		melody, _ := s.mark(source, 0)
		rest, _ := s.mark(source, steps)
		return level(melody) - level(rest)
	}
	return apart{under(s.apart.under), under(s.apart.bass)}
}

// overSoftest is by how many marks it is over the softest mark.
func (s *levelStretch) overSoftest(source string) apart {
	melody, _ := s.mark(source, 0)
	steps := max(0, level(melody)-min(level(source), level(softestMark)))
	return apart{steps, steps}
}

// held is what is struck in one measure of a stretch while a mark of the source
// is in force.
type held struct {
	in     *levelStretch
	powers []powers
}

// heldBy parts what is struck with the melody of some of all stretches, which are
// voiced alike, by the mark in force, and by measure. A mark under which only the
// rest is struck has none.
func (a *arrangement) heldBy(marks []levelSign, all []levelStretch, of []*levelStretch) map[string][]held {
	by := map[string][]held{}
	for _, m := range marks {
		if text := m.d.Signs[0].Text; level(text) >= 0 && stretchAt(all, m.onset).way == of[0].way {
			by[text] = nil
		}
	}
	for _, in := range of {
		last, mark := -1, ""
		for _, s := range in.strikes {
			now := markAt(marks, s.onset)
			if measure := a.measureAt(s.onset); measure != last || now != mark {
				by[now] = append(by[now], held{in: in})
				last, mark = measure, now
			}
			h := &by[now][len(by[now])-1]
			h.powers = append(h.powers, s.powers)
		}
	}
	return by
}

// raise raises the melody where what lies under it cannot be marked softly
// enough, alike in all stretches that are voiced alike.
func (a *arrangement) raise(marks []levelSign, stretches []levelStretch) {
	for i := range stretches {
		if stretches[i].raised != nil {
			continue
		}
		var alike []*levelStretch
		for k := range stretches[i:] {
			if s := &stretches[i+k]; s.way == stretches[i].way {
				alike = append(alike, s)
			}
		}
		raised := a.scaleFor(a.heldBy(marks, stretches, alike))
		for _, s := range alike {
			s.raised = raised
		}
	}
}

// scaleFor is by how few marks the melody can be raised to stand clear of what is
// held by each mark of the source. What the source marks louder stays louder as
// far as it can, and what it marks softest stays the softest: one path over its
// marks.
func (a *arrangement) scaleFor(by map[string][]held) scale {
	sources := slices.SortedFunc(maps.Keys(by), func(m, n string) int { return cmp.Compare(level(m), level(n)) })
	if len(sources) == 0 {
		return scale{}
	}
	loudest := max(level(loudestMark), level(sources[len(sources)-1]))
	steps := make([][]int, len(sources))
	for i, source := range sources {
		for raise := 0; raise <= mostRaise && (raise == 0 || level(source)+raise <= loudest); raise++ {
			steps[i] = append(steps[i], raise)
		}
	}
	path := cheapest(steps,
		func(i int, raise *int) float64 {
			return a.raiseCost(sources[i], *raise, by[sources[i]])
		},
		func(i int, from, to *int) float64 {
			switch was, is := level(sources[i-1])+*from, level(sources[i])+*to; {
			case was < is:
				return 0
			case was == is && i > 1:
				return alikeCost
			}
			return math.Inf(1)
		})
	raised := scale{}
	for i, source := range sources {
		raised[source] = steps[i][path[i]]
	}
	return raised
}

// raiseCost is what it costs to raise the melody by so many marks where the
// source has one.
func (a *arrangement) raiseCost(source string, raise int, measures []held) float64 {
	sum := (raiseCost + raiseMeasureCost*float64(len(measures))) * float64(raise*raise)
	for _, h := range measures {
		in := *h.in
		in.raised = scale{source: raise}
		marked, least := in.marked(source), leastSteps
		if in.asked() {
			least = in.apart.under
		}
		sum += partedCost * float64(max(0, least-marked.under))
		if m := a.middleMargin(h.powers, marked); m < melody.StandsClear {
			sum += coveredCost + shortCost*(melody.StandsClear-m)/a.tower.Dynamics
		}
	}
	return sum
}
