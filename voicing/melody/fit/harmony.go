package main

import "undersong/voicing/melody/internal/model"

// slot is a stretch of a song with one chord.
type slot struct {
	from, to int // ticks
	root     int // pitch class
	third    int // 3 or 4 semitones
	lowest   int // of the melody in it, 0 without melody
	highest  int
}

// slots are the halves of a song's even measures and its other measures whole,
// those that keep accepts, each with the triad that fits its notes best.
func (s *song) slots(keep func(measure int) bool) []slot {
	var all []slot
	for m := range len(s.measures) - 1 {
		if !keep(m) {
			continue
		}
		from, to := s.measures[m], s.measures[m+1]
		if length := to - from; length == 4*model.Quarter {
			all = append(all, slot{from: from, to: from + length/2}, slot{from: from + length/2, to: to})
		} else if length > 0 {
			all = append(all, slot{from: from, to: to})
		}
	}
	next := 0 // notes before it are over
	for k := range all {
		next = all[k].hear(s, next)
	}
	return all
}

// hear finds the chord of a slot. Notes before first ended long ago.
func (o *slot) hear(s *song, first int) int {
	var weight [12]int
	for first < len(s.melody) && s.music.Notes[first].On < o.from-8*model.Quarter {
		first++
	}
	for i := first; i < len(s.melody) && s.music.Notes[i].On < o.to; i++ {
		n := &s.music.Notes[i]
		heard := min(n.End, o.to) - max(n.On, o.from)
		if heard <= 0 {
			continue
		}
		weight[n.Pitch%12] += heard
		if s.melody[i] {
			o.highest = max(o.highest, n.Pitch)
			if o.lowest == 0 || n.Pitch < o.lowest {
				o.lowest = n.Pitch
			}
		}
	}
	best := -1
	for root := range 12 {
		for third := 3; third <= 4; third++ {
			fit := 3*weight[root] + 2*weight[(root+third)%12] + 2*weight[(root+7)%12]
			if fit > best {
				best, o.root, o.third = fit, root, third
			}
		}
	}
	return first
}

// chord is the slot's triad in the position whose highest note is the highest
// up to top, low to high.
func (o *slot) chord(top int) [3]int {
	var c [3]int
	at := 2
	for p := top; at >= 0; p-- {
		switch (p - o.root + 120) % 12 {
		case 0, o.third, 7:
			c[at] = p
			at--
		}
	}
	return c
}

// bass is the slot's root at or below top.
func (o *slot) bass(top int) int { return top - (top-o.root+120)%12 }
