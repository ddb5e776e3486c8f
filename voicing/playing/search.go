package playing

import (
	"cmp"
	"math"
	"slices"
)

// state is how the limbs stand after a chord, and the best way there.
type state struct {
	last [2]grip // of the left and the right limb
	bad  int     // what cannot be played on the way
	cost float64
	from int32 // index of the state before
	left int16 // how many of the chord's keys the left limb took
}

// maxStates bounds the states that are kept. Music that can be played stays
// far below it: a limb makes some twenty strokes while it is remembered.
const maxStates = 512

// search shares chords between the limbs of a pair.
type search struct {
	*pair
	chords []chord
	steps  [][]state
	index  map[[2]grip]int32 // of the states of the step in work
	after  []state           // these, as far as they are known
}

// run gives for every chord how many of its keys, the lowest, the left limb
// takes, so that as little as possible cannot be played, and of these ways
// the one with the least cost; of equal ones the first found. It gives also
// the grips before each chord.
func (p *pair) run(chords []chord) (left []int16, before [][2]grip) {
	s := search{pair: p, chords: chords, index: map[[2]grip]int32{}}
	states := []state{{last: [2]grip{free, free}}}
	for i := range chords {
		states = s.step(i, states)
		s.steps = append(s.steps, states)
	}
	left, before = make([]int16, len(chords)), make([][2]grip, len(chords))
	best := 0
	for k := range states {
		if compare(states[k], states[best]) < 0 {
			best = k
		}
	}
	for i := len(chords) - 1; i >= 0; i-- {
		now := s.steps[i][best]
		left[i] = now.left
		best = int(now.from)
		before[i] = [2]grip{free, free}
		if i > 0 {
			before[i] = s.aged(s.steps[i-1][best].last, chords[i].at)
		}
	}
	return left, before
}

func compare(x, y state) int {
	return cmp.Or(cmp.Compare(x.bad, y.bad), cmp.Compare(x.cost, y.cost))
}

// step is the states after chord i.
func (s *search) step(i int, before []state) []state {
	if len(before) > maxStates {
		slices.SortStableFunc(before, compare)
		before = before[:maxStates]
	}
	clear(s.index)
	after := s.after[:0]
	c := &s.chords[i]
	for left := 0; left <= len(c.keys); left++ {
		bad, cost := s.still(c, left)
		for j := range before {
			next := state{last: s.aged(before[j].last, c.at), bad: before[j].bad + bad, cost: before[j].cost + cost, from: int32(j), left: int16(left)}
			s.strike(&next, i, left)
			k, known := s.index[next.last]
			switch {
			case !known:
				s.index[next.last] = int32(len(after))
				after = append(after, next)
			case compare(next, after[k]) < 0:
				after[k] = next
			}
		}
	}
	s.after = after
	return slices.Clone(after)
}

// aged forgets what a limb did so long ago that it may be anywhere.
func (s *search) aged(last [2]grip, at float64) [2]grip {
	for l := range last {
		if last[l] != free && at-s.chords[last[l].moment].at > s.forget {
			last[l] = free
		}
	}
	return last
}

// grips are what the limbs strike of chord i when the left one takes so many
// keys.
func (s *search) grips(i, left int) [2]grip {
	n := len(s.chords[i].keys)
	return [2]grip{{int32(i), 0, int16(left)}, {int32(i), int16(left), int16(n - left)}}
}

// strike lets the limbs strike chord i: what of it comes too soon, and what it
// costs to get there.
func (s *search) strike(st *state, i, left int) {
	last, now := st.last, s.grips(i, left)
	for l := range now {
		if now[l].n == 0 {
			continue
		}
		if last[l] != free {
			m := s.move(last[l], now[l])
			if m.soon() {
				st.bad++
			}
			st.cost += s.moveCost(m)
		}
		if s.crosses(l, last, now) {
			st.cost += s.costs.cross
		}
		st.last[l] = now[l]
	}
	st.cost += s.turnCost(last, now)
}

// move is what a limb has to do from one stroke to the next.
type move struct {
	apart, need float64 // in s
	way         float64 // in mm
	octave      float64 // in mm
	crowded     bool    // several notes without the time for them
	leaps       bool
}

func (m move) soon() bool { return m.apart < m.need || m.crowded }

func (s *search) move(from, to grip) move {
	m := move{apart: s.chords[to.moment].at - s.chords[from.moment].at, octave: s.place[12] - s.place[0]}
	m.way = math.Abs(s.middle(to) - s.middle(from))
	m.need = s.stroke + m.way/s.speed
	several := int(max(from.n, to.n))
	m.crowded = several > s.moving && several <= s.slow && m.apart < Slow
	m.leaps = m.apart < Slow && m.way > s.leap
	return m
}

// middle is where the middle of a limb is, in mm: half-way between its outer
// keys.
func (s *search) middle(g grip) float64 {
	keys := s.chords[g.moment].keys
	return (s.place[keys[g.first]] + s.place[keys[g.first+g.n-1]]) / 2
}

func (s *search) moveCost(m move) float64 {
	strain := m.need / m.apart
	cost := s.costs.way*m.way/m.octave + s.costs.strain*min(strain*strain, 1)
	if m.leaps {
		cost += s.costs.leap
	}
	return cost
}

// crosses tells whether limb l strikes beyond where the other one just was.
func (s *search) crosses(l int, last, now [2]grip) bool {
	other := last[1-l]
	if other == free || now[1-l].n > 0 || s.chords[now[l].moment].at-s.chords[other.moment].at > lately {
		return false
	}
	if l == 0 {
		return s.high(now[0]) > s.low(other)
	}
	return s.low(now[1]) < s.high(other)
}

func (s *search) low(g grip) int  { return s.chords[g.moment].keys[g.first] }
func (s *search) high(g grip) int { return s.chords[g.moment].keys[g.first+g.n-1] }

// turnCost is what it costs that a lone note is the same limb's as the lone
// note before, or the other's.
func (s *search) turnCost(last, now [2]grip) float64 {
	if now[0].n+now[1].n != 1 {
		return 0
	}
	cost, limb := 0.0, 0
	if now[1].n == 1 {
		limb = 1
	} else {
		cost = s.costs.leftLone
	}
	before := last[limb]
	changed := last[1-limb].moment > before.moment
	if changed {
		before = last[1-limb]
	}
	if before == free || before.n != 1 || s.chords[now[limb].moment].at-s.chords[before.moment].at > lately {
		return cost
	}
	switch same := s.low(before) == s.low(now[limb]); {
	case changed && same:
		cost += s.costs.again
	case changed:
		cost += s.costs.change
	case !same:
		cost += s.costs.same
	}
	return cost
}

// worse is how many strokes that come too soon are as bad as one that no hand
// could make in any time: a player may slow down. The project's own figure.
const worse = 3

// still is what is wrong with a chord, shared so, whatever comes before, and
// what it costs.
func (s *search) still(c *chord, left int) (bad int, cost float64) {
	n := len(c.keys)
	for _, keys := range [2][]int{c.keys[:left], c.keys[left:]} {
		bad += worse * max(0, len(keys)-s.slow)
		if s.span(keys) > s.reach {
			bad += worse
		}
	}
	if left > 0 && left < n && s.span(c.keys) > s.apart {
		bad += worse
	}
	cost = s.costs.uneven * math.Abs(float64(n-2*left))
	if n == 1 {
		cost = s.sideCost(c.keys[0], left)
	}
	for k, wants := range c.wants {
		limb := s.right
		if k < left {
			limb = s.left
		}
		if wants != Nobody && wants != limb {
			cost += s.costs.unwanted
		}
	}
	return bad, cost
}

// sideCost is the cost of a lone key that is in the other limb's half.
func (p *pair) sideCost(key, left int) float64 {
	middle := (p.place[p.keys.Low()] + p.place[p.keys.High()]) / 2
	if (p.place[key] > middle) == (left == 1) {
		return p.costs.side
	}
	return 0
}

// span is the distance in mm from the lowest of keys to the highest.
func (p *pair) span(keys []int) float64 {
	if len(keys) < 2 {
		return 0
	}
	return p.place[keys[len(keys)-1]] - p.place[keys[0]]
}
