package notation

import "undersong/score"

// setBeams joins the short notes of each beat.
func setBeams(events []Event, g *grid) {
	var row []*Event
	flush := func() {
		if len(row) > 1 {
			beam(row)
		}
		row = nil
	}
	groups := beamGroups(events, g)
	last := -1
	for i := range events {
		e := &events[i]
		if e.Grace {
			continue
		}
		if len(e.Notes) == 0 || flags(e.Type) == 0 {
			flush()
			continue
		}
		if len(row) > 0 && groups[i] != groups[last] {
			flush()
		}
		row = append(row, e)
		last = i
	}
	flush()
}

// beamGroups numbers the groups that beams do not leave: tuplets, beats, and
// halves of a 4/4 measure that hold nothing but eighth notes.
func beamGroups(events []Event, g *grid) []int {
	groups := make([]int, len(events))
	for i := range events {
		e := &events[i]
		beat := g.beat(e.Onset)
		switch {
		case e.span > 0:
			groups[i] = -e.span
		case g.paired && onlyEighths(events, g, beat):
			groups[i] = beat / 2 * 2
		default:
			groups[i] = beat
		}
	}
	return groups
}

// onlyEighths tells whether the half measure of a beat is four plain eighths.
func onlyEighths(events []Event, g *grid, beat int) bool {
	from, to := g.bounds(beat, 2)
	count := 0
	for i := range events {
		e := &events[i]
		if e.Grace || e.Onset.Less(from) || !e.Onset.Less(to) {
			continue
		}
		if e.Type != "eighth" || e.Dots > 0 || e.span > 0 || len(e.Notes) == 0 {
			return false
		}
		count++
	}
	return count == 4
}

// beam sets the signs of every level of a row of notes under one beam.
func beam(row []*Event) {
	for level := 1; ; level++ {
		any := false
		for i := 0; i < len(row); i++ {
			if flags(row[i].Type) < level {
				continue
			}
			any = true
			end := i
			for end+1 < len(row) && flags(row[end+1].Type) >= level {
				end++
			}
			if i == end {
				row[i].Beams = append(row[i].Beams, hook(row, i))
			}
			for j := i; j <= end && i < end; j++ {
				row[j].Beams = append(row[j].Beams, place(j, i, end))
			}
			i = end
		}
		if !any {
			return
		}
	}
}

// hook points a lone short beam to the note that it makes up a plain value
// with: back where it comes in off the grid of twice its length.
func hook(row []*Event, i int) string {
	twice := row[i].Length.Mul(2, 1)
	since := row[i].Onset.Sub(row[0].Onset)
	switch {
	case i == 0:
		return "forward hook"
	case i == len(row)-1 || since.Floor(twice) != since:
		return "backward hook"
	}
	return "forward hook"
}

// setStems points stems up or down: of several voices on a staff the first
// up, the second down; alone on its staff a voice follows its notes, down
// where they are as far above the middle line as below or farther.
func setStems(voices []Voice, m *score.Measure, ctx *Context) {
	count := map[int]int{}
	for i := range voices {
		if voices[i].hasNotes() {
			count[voices[i].Staff]++
		}
	}
	rank := map[int]int{}
	for i := range voices {
		v := &voices[i]
		if !v.hasNotes() {
			continue
		}
		fixed := score.StemAuto
		if count[v.Staff] > 1 {
			fixed = score.StemUp
			if rank[v.Staff]%2 == 1 {
				fixed = score.StemDown
			}
		}
		rank[v.Staff]++
		v.stems(fixed, m, ctx)
	}
}

func (v *Voice) hasNotes() bool {
	for i := range v.Events {
		if len(v.Events[i].Notes) > 0 {
			return true
		}
	}
	return false
}

// stems sets the stems of a voice, those under one beam alike.
func (v *Voice) stems(fixed score.Stem, m *score.Measure, ctx *Context) {
	for i := 0; i < len(v.Events); {
		end := i + 1
		for end < len(v.Events) && v.Events[end-1].beamGoesOn() {
			end++
		}
		row := v.Events[i:end]
		i = end
		stem := fixed
		if stem == score.StemAuto {
			stem = byHeight(row, m, ctx)
		}
		for j := range row {
			row[j].setStem(stem)
		}
	}
}

func (e *Event) beamGoesOn() bool {
	return len(e.Beams) > 0 && (e.Beams[0] == "begin" || e.Beams[0] == "continue")
}

// setStem gives e the stem that the score asks for, else this one.
func (e *Event) setStem(stem score.Stem) {
	if len(e.Notes) == 0 {
		return
	}
	if asked := e.Notes[0].Note.Stem; asked != score.StemAuto {
		stem = asked
	}
	switch e.Type {
	case "whole", "breve", "long", "maxima", "":
		stem = score.StemAuto
	}
	if e.Grace {
		stem = score.StemUp
	}
	e.Stem = stem
}

// byHeight is the direction for a row of notes by the one farthest from the
// middle line.
func byHeight(row []Event, m *score.Measure, ctx *Context) score.Stem {
	above, below := 0, 0
	for i := range row {
		for _, n := range row[i].Notes {
			clef := ctx.clefAt(m, n.Note.Staff, row[i].Onset)
			middle, ok := clef.MiddleLine()
			if !ok {
				continue
			}
			d := n.Note.Pitch.Diatonic() - middle
			above, below = max(above, d), max(below, -d)
		}
	}
	if below > above {
		return score.StemUp
	}
	return score.StemDown
}
