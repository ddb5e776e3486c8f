package main

import (
	"fmt"
	"io"
)

// counts are notes found rightly, found wrongly, and missed.
type counts struct{ right, wrong, missed int }

func (c counts) precision() float64 { return ratio(c.right, c.right+c.wrong) }
func (c counts) recall() float64    { return ratio(c.right, c.right+c.missed) }
func (c counts) f1() float64        { return ratio(2*c.right, 2*c.right+c.wrong+c.missed) }

func ratio(a, b int) float64 {
	if b == 0 {
		return 0
	}
	return float64(a) / float64(b)
}

func (c *counts) add(d counts) {
	c.right, c.wrong, c.missed = c.right+d.right, c.wrong+d.wrong, c.missed+d.missed
}

// result is what a way of finding got right, over all notes and over those in
// measures where there is melody.
type result struct{ all, active counts }

func (r *result) add(o result) { r.all.add(o.all); r.active.add(o.active) }

// judge compares found, indexes of notes, with the truth of s.
func judge(s *song, found []int) result {
	in := make([]bool, len(s.melody))
	for _, i := range found {
		in[i] = true
	}
	active := s.active()
	var r result
	for i, is := range s.melody {
		var c counts
		switch {
		case is && in[i]:
			c.right = 1
		case is:
			c.missed = 1
		case in[i]:
			c.wrong = 1
		}
		r.all.add(c)
		if active[s.music.Notes[i].Measure] {
			r.active.add(c)
		}
	}
	return r
}

// active tells which measures have melody sounding in them.
func (s *song) active() []bool {
	active := make([]bool, len(s.measures))
	for i, is := range s.melody {
		if n := s.music.Notes[i]; is {
			for m := n.Measure; m < len(s.measures)-1 && s.measures[m] < n.End; m++ {
				active[m] = true
			}
		}
	}
	return active
}

// print writes one line of the table.
func (r *result) print(w io.Writer, name, way string) {
	fmt.Fprintf(w, "| %s | %s | %.3f / %.3f / **%.3f** | %.3f / %.3f / **%.3f** |\n", name, way,
		r.all.precision(), r.all.recall(), r.all.f1(), r.active.precision(), r.active.recall(), r.active.f1())
}
