package form

import (
	"slices"

	"undersong/score"
)

// Pass is one time through a section, or a part of it, in the order of
// performance.
type Pass struct {
	Section int // index
	Nth     int // 1 the first time that the section is played
	At      int // index of its first measure in the order of performance
	// First and Last are the measures that it begins and ends with. With endings it may
	// leave out some between them: Runs are those that it plays, from one to another.
	First, Last int
	Runs        [][2]int
}

// Passes are the sections in the order in which they are played, with repeats,
// endings and jumps. A form that cannot be followed is played as it is written.
func Passes(s *score.Score, sections []Section) []Pass {
	if len(sections) == 0 {
		return nil
	}
	order := played(s)
	of := make([]int, sections[len(sections)-1].Last+1) // section of each measure
	for i, sec := range sections {
		for m := sec.First; m <= sec.Last; m++ {
			of[m] = i
		}
	}
	var passes []Pass
	times := make([]int, len(sections))
	for at, p := range order {
		now := of[p.Measure]
		last := len(passes) - 1
		if last >= 0 && passes[last].Section == now && p.Measure > passes[last].Last {
			passes[last].goOn(p.Measure)
			continue
		}
		times[now]++
		passes = append(passes, Pass{now, times[now], at, p.Measure, p.Measure, [][2]int{{p.Measure, p.Measure}}})
	}
	return passes
}

// goOn adds a later measure.
func (p *Pass) goOn(measure int) {
	if measure > p.Last+1 {
		p.Runs = append(p.Runs, [2]int{measure, measure})
	}
	p.Runs[len(p.Runs)-1][1] = measure
	p.Last = measure
}

// played are the measures in the order of performance, or as they are written where
// that cannot be followed.
func played(s *score.Score) []score.Played {
	order, err := s.Performance()
	if err != nil {
		order = make([]score.Played, s.MeasureCount())
		for i := range order {
			order[i].Measure = i
		}
	}
	return order
}

// timesPlayed is how often each measure is played.
func timesPlayed(s *score.Score) []int {
	times := make([]int, s.MeasureCount())
	for _, p := range played(s) {
		times[p.Measure]++
	}
	return times
}

// Played is a section as it is played once, in the score with its repeats
// written out: its bounds are in that score, its times are 1.
type Played struct {
	Section
	Of  int // index of the section
	Nth int // 1 the first time that it is played
}

// WrittenOut are the sections of was as they are played, in is, which is was with
// its repeats written out.
func WrittenOut(sections []Section, was, is *score.Score) []Played {
	passes, before, starts := Passes(was, sections), was.Starts(), is.Starts()
	all := make([]Played, len(passes))
	end := len(starts) - 1
	for i, pass := range slices.Backward(passes) {
		p := &all[i]
		*p = Played{Section: sections[pass.Section], Of: pass.Section, Nth: pass.Nth}
		lead := score.Time{}
		if pass.First == p.First { // else it goes on in its middle
			lead = before[p.First].Sub(p.From) // a pickup to it
		}
		p.Times = 1
		p.First, p.Last = pass.At, end-1
		p.From, p.To = score.Max(starts[p.First].Sub(lead), score.Time{}), starts[end]
		if i+1 < len(all) {
			p.To = all[i+1].From
		}
		end = pass.At
	}
	return all
}
