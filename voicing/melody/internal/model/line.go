package model

import "sort"

// What is summed up along a line.
const (
	sumNotes    = iota
	sumSteps    // intervals of one or two semitones
	sumRepeats  // of the same pitch
	sumLeaps    // of a fourth or more
	sumInterval // semitones, up or down
	sumChord    // other notes struck with it and as long
	sumLength   // ticks, no further than the line's next note
	sumPitch
	sumTurn   // changes of note length
	sumTop    // notes with nothing sounding above
	sumBottom // notes with nothing sounding below
	sumCount
)

type sums [sumCount]int

// line is notes one after the other, summed up so that any stretch of it can
// be asked about at once.
type line struct {
	on    []int
	total []sums // total[i] is over the first i notes
}

func (m *Music) line(notes []int, at []moment) *line {
	l := &line{on: make([]int, len(notes)), total: make([]sums, len(notes)+1)}
	for k, i := range notes {
		n := &m.Notes[i]
		s := l.total[k]
		s[sumNotes]++
		s[sumChord] += at[i].sameLength
		s[sumPitch] += n.Pitch
		s[sumTop] += truth(at[i].soundsAbove == 0)
		s[sumBottom] += truth(at[i].soundsBelow == 0)
		length := n.Length()
		if k+1 < len(notes) {
			length = min(length, m.Notes[notes[k+1]].On-n.On)
		}
		s[sumLength] += length
		if k > 0 {
			s.interval(&m.Notes[notes[k-1]], n)
		}
		l.on[k], l.total[k+1] = n.On, s
	}
	return l
}

func (s *sums) interval(a, b *Note) {
	d := distance(a.Pitch, b.Pitch)
	s[sumSteps] += truth(d == 1 || d == 2)
	s[sumRepeats] += truth(d == 0)
	s[sumLeaps] += truth(d >= 5)
	s[sumInterval] += min(d, 24)
	s[sumTurn] += truth(a.Length() != b.Length())
}

// around is the sums over the notes struck within a window of t.
func (l *line) around(t int) sums {
	from := sort.SearchInts(l.on, t-window)
	to := sort.SearchInts(l.on, t+window+1)
	return l.between(from, to)
}

func (l *line) all() sums { return l.between(0, len(l.on)) }

func (l *line) between(from, to int) sums {
	var s sums
	for k := range s {
		s[k] = l.total[to][k] - l.total[from][k]
	}
	return s
}

// share is 1000 × s[what] over the notes.
func (s *sums) share(what int) int { return 1000 * s[what] / max(1, s[sumNotes]) }

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}
