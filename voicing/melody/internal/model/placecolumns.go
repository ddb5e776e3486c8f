package model

import "math/bits"

// placeColumns ask where in the piece the note is and how it compares with
// the piece.
var placeColumns = []column{
	{"since the start", func(a *asked) int { return doublings(a.note.On - a.Notes[0].On) }},
	{"until the end", func(a *asked) int { return doublings(a.Notes[len(a.Notes)-1].On - a.note.On) }},
	{"length against the pace", func(a *asked) int { return 10 * min(a.note.Length(), 8*quarter) / a.unit }},
	{"notes around against the pace", func(a *asked) int { return a.whole[sumNotes] * a.unit / quarter * 4 }},
	{"length of the next", func(a *asked) int { return min(a.lengthOf(a.links.next[a.i]), 8*quarter) / fine }},
	{"length of the one before", func(a *asked) int { return min(a.lengthOf(a.links.prev[a.i]), 8*quarter) / fine }},
	{"interval to the one before", func(a *asked) int {
		p := a.links.prev[a.i]
		return a.interval(a.prevOf(p), p)
	}},
	{"interval to the next of its voice", func(a *asked) int { return a.interval(a.i, a.voice.next[a.i]) }},
	{"interval from the one before in its voice", func(a *asked) int { return a.interval(a.voice.prev[a.i], a.i) }},
}

// doublings is how often a quarter note doubles until it is longer than so many
// ticks: coarse, as whole pieces are asked.
func doublings(ticks int) int { return bits.Len(uint(ticks / quarter)) }

// countColumns ask how many notes are like it, shares coarsely, as whole pieces are
// asked.
func countColumns() []column {
	var columns []column
	for k, kin := range kinships {
		switch kin.count {
		case counted:
			columns = append(columns, column{"number of " + kin.name, func(a *asked) int { return a.family[k].sizeOf(a.i) }})
		case shared:
			columns = append(columns, column{"share of " + kin.name, func(a *asked) int {
				return 25 * a.family[k].sizeOf(a.i) / len(a.Notes)
			}})
		}
	}
	return columns
}
