package model

import "sort"

// What is summed up over all notes in time order. Likelihoods are in
// thousandths.
const (
	massAll      = iota // likelihood of all notes
	massPitch           // likelihood × pitch
	massTop             // likelihood of notes on top
	massBottom          // of notes at the bottom
	massInner           // of the others
	massBest            // of each group's likeliest note
	restAll             // what likelihood lacks to certainty
	restPitch           // the same × pitch
	restTop             // the same of notes on top
	restTopPitch        // the same × pitch
	countTop            // notes on top, at the bottom, inside; groups
	countBottom
	countInner
	countGroups
	massCount
)

type mass [massCount]int

// likelihoods is what the scores of one look say of a piece: what the next
// look asks about.
type likelihoods struct {
	*View
	scores  []int
	p       []int    // likelihood of each note
	total   []mass   // total[i] is over the first i notes
	likely  []int    // the likeliest note of each group
	stream  [][]int  // sums of p along each stream
	above   [129]int // likelihood of notes on this key or higher
	tune    lineStyle
	kin     [][]int16 // mean likelihood of each note's kin, by kinship
	nearKin [][]int16 // the same of near kin; nil where nobody asks
	chain   []int     // the best line
	through []int     // the sum of the best line with each note
	best    int       // of the best line
	inLine  []bool    // whether a note is in it
	before  []int     // how many notes of it are struck before each note
}

// likelihood is a score as a share of 1000, without the exponential function,
// which is not the same on all machines.
func likelihood(score int) int {
	if score < 0 {
		return 500 + 1000*score/(1000-2*score)
	}
	return 500 + 1000*score/(1000+2*score)
}

func (v *View) likelihoods(scores []int) *likelihoods {
	n := len(v.Notes)
	l := &likelihoods{
		View: v, scores: scores, p: make([]int, n), total: make([]mass, n+1),
		kin: make([][]int16, len(kinships)), nearKin: make([][]int16, len(kinships)),
		inLine: make([]bool, n), before: make([]int, n),
	}
	for i, s := range scores {
		l.p[i] = likelihood(s)
	}
	for _, g := range v.Groups {
		l.sum(g)
	}
	eachKinship(func(from, to int) {
		for k := from; k < to; k++ {
			l.kin[k] = v.family[k].kinMeans(l.p)
			if kinships[k].near {
				l.nearKin[k] = v.family[k].nearMeans(v, l.p)
			}
		}
	})
	l.sumAbove()
	l.sumStreams()
	l.follow()
	return l
}

// sum sums up the notes of g.
func (l *likelihoods) sum(g Group) {
	best := g.First
	for i := g.First; i < g.Last; i++ {
		if l.scores[i] >= l.scores[best] {
			best = i
		}
		s := l.total[i]
		s.add(&l.Notes[i], &l.moments[i], l.p[i])
		l.total[i+1] = s
	}
	l.likely = append(l.likely, best)
	l.total[g.Last][massBest] += l.p[best]
	l.total[g.Last][countGroups]++
}

func (s *mass) add(n *Note, o *moment, p int) {
	s[massAll] += p
	s[massPitch] += p * n.Pitch
	s[restAll] += 1000 - p
	s[restPitch] += (1000 - p) * n.Pitch
	switch {
	case o.soundsAbove == 0:
		s[massTop] += p
		s[restTop] += 1000 - p
		s[restTopPitch] += (1000 - p) * n.Pitch
		s[countTop]++
	case o.soundsBelow == 0:
		s[massBottom] += p
		s[countBottom]++
	default:
		s[massInner] += p
		s[countInner]++
	}
}

func (l *likelihoods) sumAbove() {
	for i := range l.Notes {
		l.above[l.Notes[i].Pitch&127] += l.p[i]
	}
	for k := 127; k >= 0; k-- {
		l.above[k] += l.above[k+1]
	}
}

func (l *likelihoods) sumStreams() {
	l.stream = make([][]int, len(l.streams))
	for k := range l.stream {
		l.stream[k] = make([]int, 1, len(l.streams[k].on)+1)
	}
	for i, k := range l.of {
		s := l.stream[k]
		l.stream[k] = append(s, s[len(s)-1]+l.p[i])
	}
}

// follow lays the best line through the scores.
func (l *likelihoods) follow() {
	sum, from := l.upTo(l.scores)
	l.chain = chainOf(sum, from)
	l.through = sum
	for i, after := range l.after(l.scores) {
		l.through[i] += after
		l.best = max(l.best, l.through[i])
	}
	l.tune = l.goes()
	for _, i := range l.chain {
		l.inLine[i] = true
	}
	k := 0
	for _, g := range l.Groups {
		for k < len(l.chain) && l.chain[k] < g.First {
			k++
		}
		for i := g.First; i < g.Last; i++ {
			l.before[i] = k
		}
	}
}

// around is the sums over the notes struck within w ticks of t.
func (l *likelihoods) around(t, w int) mass {
	from := sort.SearchInts(l.whole.on, t-w)
	to := sort.SearchInts(l.whole.on, t+w+1)
	s := l.total[to]
	for k := range s {
		s[k] -= l.total[from][k]
	}
	return s
}

// mean is sum over count, -1 of nothing.
func mean(sum, count int) int {
	if count <= 0 {
		return -1
	}
	return sum / count
}
