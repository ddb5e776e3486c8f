package page

import "undersong/score"

// sample is a sign of the pictures and what it means.
type sample struct {
	Marks marks
	Text  string
}

// smallLegend explains the signs of pictures in small.
func smallLegend() []sample {
	all := legend(false)
	for i, text := range []string{"melody: a round head", "all else: a small square head"} {
		all[i].Text, all[i].Marks.Tails, all[i].Marks.TuneTails = text, "", ""
	}
	return all
}

// legend explains the signs; a page with one picture of a measure has no feet
// and nothing left out.
func legend(both bool) []sample {
	draw := func(k mark) marks {
		m := &music{low: 60, high: 60, starts: []score.Time{{}, score.Quarter}, marks: [][]mark{{k}}}
		return m.draw(0)
	}
	k := mark{from: score.Frac(1, 4), to: score.Frac(3, 4), key: 60}
	tune := k
	tune.tune = true
	all := []sample{
		{draw(tune), "melody: a round head on a broad line, as long as it is written"},
		{draw(k), "all else: a small square head on a thin line"},
	}
	if !both {
		return all
	}
	foot, out, missing := k, k, k
	foot.foot, out.leftOut, missing.missing = true, true, true
	return append(all,
		sample{draw(foot), "a stem down: played by the feet"},
		sample{draw(out), "before: an empty square, left out later"},
		sample{draw(missing), "after: a stroke through it, this tower has no key"})
}
