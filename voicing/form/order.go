package form

import "undersong/score"

// Pass is one time through a section, or a part of it, in the order of
// performance.
type Pass struct {
	Section int // index
	Nth     int // 1 the first time that the section is played
	// First and Last are the measures that it begins and ends with; with
	// endings it may leave out some between them.
	First, Last int
}

// Passes are the sections in the order in which they are played, with repeats,
// endings and jumps. A form that cannot be followed is played as it is written.
func Passes(s *score.Score, sections []Section) []Pass {
	if len(sections) == 0 {
		return nil
	}
	order, err := s.Performance()
	if err != nil {
		order = nil
		for i := range sections[len(sections)-1].Last + 1 {
			order = append(order, score.Played{Measure: i})
		}
	}
	of := make([]int, sections[len(sections)-1].Last+1) // section of each measure
	for i, sec := range sections {
		for m := sec.First; m <= sec.Last; m++ {
			of[m] = i
		}
	}
	var passes []Pass
	times := make([]int, len(sections))
	for _, p := range order {
		now := of[p.Measure]
		last := len(passes) - 1
		if last >= 0 && passes[last].Section == now && p.Measure > passes[last].Last {
			passes[last].Last = p.Measure
			continue
		}
		times[now]++
		passes = append(passes, Pass{now, times[now], p.Measure, p.Measure})
	}
	return passes
}
