package model

// tuneColumns ask how the note suits the best line through the scores.
var tuneColumns = []nextColumn{
	{"best line through it", func(a *askedNext) int { return (a.through[a.i] - a.best) / 4 }},
	{"best line through it over others struck with it", func(a *askedNext) int {
		return (a.through[a.i] - a.bestBeside()) / 4
	}},
	{"likelihood of the next in its voice", func(a *askedNext) int { return a.likelihoodOf(a.voice.next[a.i]) }},
	{"likelihood of the one before in its voice", func(a *askedNext) int { return a.likelihoodOf(a.voice.prev[a.i]) }},
	{"likelihood above it", func(a *askedNext) int { return mean(1000*a.above[(a.note.Pitch&127)+1], a.above[0]) }},
	{"likelihood from it up", func(a *askedNext) int { return mean(1000*a.above[a.note.Pitch&127], a.above[0]) }},
	{"length against the line's", func(a *askedNext) int {
		return 100 * min(a.note.Length(), 8*quarter) / max(1, a.tune.length)
	}},
	{"height over the line against its spread", func(a *askedNext) int {
		return 10 * (a.note.Pitch - a.tune.pitch) / a.tune.spread
	}},
	{"steps of the line", func(a *askedNext) int { return a.tune.steps }},
	{"likelihood of the line", func(a *askedNext) int { return a.tune.likely }},
	{"line's share of the onsets", func(a *askedNext) int { return a.tune.onsets }},
	{"line's length against the pace", func(a *askedNext) int { return 5 * a.tune.length / a.unit }},
}

// bestBeside is the sum of the best line through another note struck with it.
func (a *askedNext) bestBeside() int {
	best := a.best - 30000
	g := a.Groups[a.group[a.i]]
	for j := g.First; j < g.Last; j++ {
		if j != a.i {
			best = max(best, a.through[j])
		}
	}
	return best
}

func kinColumns() []nextColumn {
	var columns []nextColumn
	for k, kin := range kinships {
		columns = append(columns, nextColumn{"likelihood of " + kin.name, func(a *askedNext) int { return int(a.kin[k][a.i]) }})
	}
	return columns
}

func nearKinColumns() []nextColumn {
	var columns []nextColumn
	for k, kin := range kinships {
		if kin.near {
			columns = append(columns, nextColumn{"likelihood near of " + kin.name, func(a *askedNext) int {
				return int(a.nearKin[k][a.i])
			}})
		}
	}
	return columns
}

// lineStyle is how the best line goes.
type lineStyle struct {
	length, pitch int // mean, in ticks and MIDI
	spread        int // semitones away from the mean pitch, on the mean, at least one
	steps         int // share of its intervals, in twentieths
	likely        int // mean likelihood, likewise
	onsets        int // share of the piece's onsets, likewise
}

func (l *likelihoods) goes() lineStyle {
	var o lineStyle
	for k, i := range l.chain {
		n := &l.Notes[i]
		o.length += min(n.Length(), 4*quarter)
		o.pitch += n.Pitch
		o.likely += l.p[i]
		if k > 0 {
			d := distance(l.Notes[l.chain[k-1]].Pitch, n.Pitch)
			o.steps += truth(d == 1 || d == 2)
		}
	}
	count := max(1, len(l.chain))
	for _, i := range l.chain {
		o.spread += distance(l.Notes[i].Pitch*count, o.pitch)
	}
	return lineStyle{
		length: o.length / count, pitch: o.pitch / count, spread: max(1, o.spread/count/count),
		steps: 20 * o.steps / count, likely: o.likely / count / 50, onsets: 20 * len(l.chain) / len(l.Groups),
	}
}
