package notation

import "undersong/score"

// setStems points stems up or down. Of several voices on a staff the first
// goes up, the second down; alone on its staff a voice goes by its notes.
func setStems(voices []Voice, ctx *Context) {
	before := make([]int, ctx.numbers.staves) // voices met on each staff
	total := make([]int, ctx.numbers.staves)
	for i := range voices {
		voices[i].countOn(total)
	}
	for i := range voices {
		v := &voices[i]
		for events := v.Events; len(events) > 0; {
			row := underOneBeam(events)
			events = events[len(row):]
			staff := row[0].Staff - 1
			stem := score.StemUp
			switch {
			case total[staff] > 1 && before[staff]%2 == 1:
				stem = score.StemDown
			case total[staff] <= 1 && !row[0].Grace:
				stem = byHeight(row, ctx)
			}
			for j := range row {
				row[j].setStem(stem)
			}
		}
		v.countOn(before)
	}
}

// countOn adds one for each staff on which v shows something.
func (v *Voice) countOn(staves []int) {
	var seen uint64
	for i := range v.Events {
		staff := v.Events[i].Staff - 1
		if bit := uint64(1) << (staff % 64); seen&bit == 0 {
			seen |= bit
			staves[staff]++
		}
	}
}

// underOneBeam is the first of events, with those that its beam joins to it.
func underOneBeam(events []Event) []Event {
	n := 1
	if b := events[0].Beams; len(b) > 0 && b[0] == "begin" {
		for n < len(events) && !events[n-1].ends(events[0].Grace) {
			n++
		}
	}
	return events[:n]
}

// ends tells whether a beam, of grace notes or of others, ends with e.
func (e *Event) ends(grace bool) bool {
	return e.Grace == grace && len(e.Beams) > 0 && e.Beams[0] == "end"
}

// setStem gives e the stem that the score asks for, else this one.
func (e *Event) setStem(stem score.Stem) {
	switch e.Type {
	case "whole", "breve", "long", "maxima", "":
		return
	}
	for i := range e.Notes {
		if asked := e.Notes[i].Note.Stem; asked != score.StemAuto {
			e.Stem = asked
			return
		}
	}
	if len(e.Notes) > 0 {
		e.Stem = stem
	}
}

// byHeight is the direction for the notes of a row: by the one farthest from
// the middle line, down where it is as far above as below.
func byHeight(row []Event, ctx *Context) score.Stem {
	above, below := 0, 0
	for i := range row {
		for _, n := range row[i].Notes {
			middle, ok := ctx.clefAt(n.Note.Staff, row[i].Onset).MiddleLine()
			if !ok || n.Note.Kind != score.Pitched {
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
