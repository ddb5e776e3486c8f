package score

import "slices"

// half is one end of a line: a slur, a wedge, an ottava.
type half struct {
	measure int // index in a list of measures
	halfPlace
	start  bool
	name   string
	number int
	staff  int
	voice  int
}

// halfPlace is where in its measure a half is: sign of a direction or mark
// of a note.
type halfPlace struct {
	direction  bool
	owner, own int
}

// lineSigns are the signs of directions that have a start and a stop.
var lineSigns = map[string]bool{
	"wedge": true, "octave-shift": true, "pedal": true, "dashes": true, "bracket": true,
}

// lineMarks are the marks of notes that do.
var lineMarks = map[string]bool{"slur": true, "wavy-line": true, "glissando": true, "slide": true}

// lineStarts are the types that begin a line.
var lineStarts = map[string]bool{
	"start": true, "crescendo": true, "diminuendo": true, "up": true, "down": true, "sostenuto": true,
}

// halves are the ends of lines in m: those of directions by onset, those of
// notes in document order.
func (m *Measure) halves(index int) []half {
	var all []half
	add := func(h half, lines map[string]bool, kind string) {
		h.start = lineStarts[kind]
		if lines[h.name] && (h.start || kind == "stop") {
			h.measure = index
			all = append(all, h)
		}
	}
	byOnset := make([]int, len(m.Directions))
	for i := range byOnset {
		byOnset[i] = i
	}
	slices.SortStableFunc(byOnset, func(a, b int) int { return m.Directions[a].Onset.Cmp(m.Directions[b].Onset) })
	for _, i := range byOnset {
		d := &m.Directions[i]
		for j, s := range d.Signs {
			add(half{halfPlace: halfPlace{true, i, j}, name: s.Name, number: s.Number, staff: d.Staff}, lineSigns, s.Type)
		}
	}
	for i := range m.Notes {
		n := &m.Notes[i]
		// A stop before a start: the same number may go on at once.
		for _, kind := range []string{"stop", "start"} {
			for j, k := range n.Marks {
				if k.Type == kind {
					add(half{halfPlace: halfPlace{false, i, j}, name: k.Name, number: k.Number,
						staff: n.Staff, voice: n.Voice}, lineMarks, kind)
				}
			}
		}
	}
	return all
}

// likeness is how well a stop fits an open start; negative for not at all.
// Lines may change staff and voice; one that does not is preferred.
func (h *half) likeness(start *half) int {
	if h.name != start.name || h.number != start.number {
		return -1
	}
	like := 0
	if h.staff == start.staff {
		like++
	}
	if h.voice == start.voice {
		like += 2
	}
	return like
}

// onNoteOf tells whether stop h is on the same note as a start.
func (h *half) onNoteOf(start *half) bool {
	return !h.start && !h.direction && h.measure == start.measure && h.owner == start.owner &&
		h.direction == start.direction && h.likeness(start) >= 0
}

// unpaired are the halves without another half. A start of the same staff and
// voice as an open one takes its place. A stop that none was open for belongs
// to the start on its own note, as of a trill's line over one note.
func unpaired(halves []half) []half {
	var open, lost []half
	for _, h := range halves {
		best, like := -1, -1
		for i := range open {
			if l := h.likeness(&open[i]); l > like {
				best, like = i, l
			}
		}
		switch {
		case h.start && len(lost) > 0 && lost[len(lost)-1].onNoteOf(&h):
			lost = lost[:len(lost)-1]
		case h.start:
			if best >= 0 && like == 3 {
				lost = append(lost, open[best])
				open = append(open[:best], open[best+1:]...)
			}
			open = append(open, h)
		case best < 0:
			lost = append(lost, h)
		default:
			open = append(open[:best], open[best+1:]...)
		}
	}
	return append(lost, open...)
}

// dropHalves takes the ends of lines out of the leaves whose other end is not
// played. Those that had none as written stay as they are.
func (p *Part) dropHalves(order []Played, leaves []leaf) {
	byMeasure := make([][]half, len(p.Measures))
	var written []half
	for i, m := range p.Measures {
		byMeasure[i] = m.halves(i)
		written = append(written, byMeasure[i]...)
	}
	always := places(unpaired(written))
	var played []half
	for i, o := range order {
		for _, h := range byMeasure[o.Measure] {
			h.measure = i
			played = append(played, h)
		}
	}
	drop(leaves, slices.DeleteFunc(unpaired(played), func(h half) bool {
		return always[measurePlace{order[h.measure].Measure, h.halfPlace}]
	}))
}

// drop takes halves out of their leaves.
func drop(leaves []leaf, lost []half) {
	byLeaf := map[int]map[halfPlace]bool{}
	for _, h := range lost {
		if byLeaf[h.measure] == nil {
			byLeaf[h.measure] = map[halfPlace]bool{}
		}
		byLeaf[h.measure][h.halfPlace] = true
	}
	for i, places := range byLeaf {
		leaves[i].edit().without(places)
	}
}

// measurePlace is where in its part a half is.
type measurePlace struct {
	measure int
	halfPlace
}

func places(halves []half) map[measurePlace]bool {
	at := map[measurePlace]bool{}
	for _, h := range halves {
		at[measurePlace{h.measure, h.halfPlace}] = true
	}
	return at
}

// without takes the halves at these places out of m.
func (m *Measure) without(places map[halfPlace]bool) {
	for i := range m.Directions {
		d := &m.Directions[i]
		if kept := keep(d.Signs, places, halfPlace{direction: true, owner: i}); len(kept) < len(d.Signs) {
			d.Signs, d.Source = kept, 0
		}
	}
	for i := range m.Notes {
		n := &m.Notes[i]
		n.Marks = keep(n.Marks, places, halfPlace{owner: i})
	}
}

// keep are the signs or marks of an owner that are not at these places.
func keep[S any](signs []S, places map[halfPlace]bool, at halfPlace) []S {
	var kept []S
	for i, s := range signs {
		if at.own = i; !places[at] {
			kept = append(kept, s)
		}
	}
	return kept
}

// cutTies ends the ties that a jump breaks: over it both notes must be tied
// and of one pitch. Where a jump arrives at the measure that is played first,
// or leaves the one played last, ties go to what is played beside that jump
// only. A fault of the score as written stays one.
func (p *Part) cutTies(order []Played, leaves []leaf) {
	if len(order) == 0 {
		return
	}
	last := len(order) - 1
	cutFirst, cutLast := order[0].Measure != 0, order[last].Measure != len(p.Measures)-1
	for i := range leaves {
		if isJump(order, i) {
			cutTies(&leaves[i-1], &leaves[i])
			cutFirst = cutFirst || order[i].Measure == order[0].Measure
			cutLast = cutLast || order[i-1].Measure == order[last].Measure
		}
	}
	if cutFirst {
		cutTies(&leaf{Measure: &Measure{}}, &leaves[0])
	}
	if cutLast {
		cutTies(&leaves[last], &leaf{Measure: &Measure{}})
	}
}

// cutTies cuts the ties between a and the measure b that follows it.
func cutTies(a, b *leaf) {
	from, to := map[Pitch]bool{}, map[Pitch]bool{}
	for i := range a.Notes {
		if n := &a.Notes[i]; n.tiedOver(a.Measure) {
			from[n.Pitch] = true
		}
	}
	for i := range b.Notes {
		if n := &b.Notes[i]; n.tiedFrom() {
			to[n.Pitch] = true
		}
	}
	for i := range a.Notes {
		if n := &a.Notes[i]; n.tiedOver(a.Measure) && !to[n.Pitch] {
			a.edit().Notes[i].TieStart = false
		}
	}
	for i := range b.Notes {
		if n := &b.Notes[i]; n.tiedFrom() && !from[n.Pitch] {
			b.edit().Notes[i].TieStop = false
		}
	}
}

// tiedOver tells whether n is tied over the end of its measure.
func (n *Note) tiedOver(m *Measure) bool {
	return n.Kind == Pitched && n.TieStart && !n.End().Less(m.Length)
}

// tiedFrom tells whether n is tied to the measure before.
func (n *Note) tiedFrom() bool {
	return n.Kind == Pitched && n.TieStop && n.Onset.Sign() == 0
}
