package notation

import "undersong/score"

// setBeams joins the short notes of each beat, and grace notes among
// themselves.
func (w *writer) setBeams() {
	halves := w.eighthHalves()
	var row, graces []int
	var last beamGroup
	for i := range w.events {
		e := &w.events[i]
		if e.Grace {
			graces = append(graces, i)
			continue
		}
		graces = w.beam(graces)
		g := w.beamGroup(i, halves)
		if len(e.Notes) == 0 || w.info[i].flags == 0 || g != last {
			row = w.beam(row)
		}
		if len(e.Notes) > 0 && w.info[i].flags > 0 {
			row = append(row, i)
		}
		last = g
	}
	w.beam(graces)
	w.beam(row)
}

// beamGroup is what a beam stays in: a tuplet, and a beat unless the tuplet
// is no longer than one. A tuplet inside another is a group of its own.
type beamGroup struct {
	tuplet
	beat int
}

func (w *writer) beamGroup(i int, halves []int) beamGroup {
	in, beat := w.info[i].tuplet, w.meter.beat(w.at(i))
	switch {
	case in.inner >= 0:
		beat = -1
	case in.span >= 0:
		s := &w.spans[in.span]
		first := w.meter.beat(s.from)
		if length := w.meter.beats[first+1].Sub(w.meter.beats[first]); !length.Less(s.to.Sub(s.from)) {
			beat = -1
		}
	case halves != nil && halves[beat/2] == 4:
		beat = beat / 2 * 2
	}
	return beamGroup{in, beat}
}

// at is the onset of event i in the grid.
func (w *writer) at(i int) score.Time { return w.events[i].Onset.Add(w.meter.offset) }

// eighthHalves counts the eighth notes of each half measure, in a meter
// where four of them go under one beam. Where there is anything else the count
// is negative.
func (w *writer) eighthHalves() []int {
	if !w.meter.paired {
		return nil
	}
	halves := make([]int, len(w.meter.beats)/2)
	for i := range w.events {
		e := &w.events[i]
		if e.Grace {
			continue
		}
		half := &halves[w.meter.beat(w.at(i))/2]
		if len(e.Notes) > 0 && e.Type == "eighth" && e.Dots == 0 && w.info[i].span < 0 {
			*half++
		} else {
			*half -= 1000
		}
	}
	return halves
}

// beam puts events under one beam, unless there is only one. It returns row
// emptied.
func (w *writer) beam(row []int) []int {
	for k := 0; k < len(row) && len(row) > 1; k++ {
		first := len(w.beams)
		for level := 1; level <= w.info[row[k]].flags; level++ {
			w.beams = append(w.beams, w.beamSign(row, k, level))
		}
		w.events[row[k]].Beams = w.beams[first:len(w.beams):len(w.beams)]
	}
	return row[:0]
}

func (w *writer) beamSign(row []int, k, level int) string {
	left := k > 0 && w.info[row[k-1]].flags >= level
	right := k+1 < len(row) && w.info[row[k+1]].flags >= level
	switch {
	case left && right:
		return "continue"
	case right:
		return "begin"
	case left:
		return "end"
	case k == 0 || k+1 < len(row) && w.leads(row, k):
		return "forward hook"
	}
	return "backward hook"
}

// leads tells whether event k of a row lies on the grid of twice its length:
// then it goes with the next note, else with the one before.
func (w *writer) leads(row []int, k int) bool {
	e := &w.events[row[k]]
	since := e.Onset.Sub(w.events[row[0]].Onset)
	return since.Floor(e.Length.Mul(2, 1)) == since
}
