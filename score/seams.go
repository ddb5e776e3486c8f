package score

import "slices"

// LineEnd is an end of a line over notes or staves: a slur's, a wedge's.
type LineEnd struct {
	Measure int // index in the part
	Onset   Time
	Name    string // as MusicXML names it
	Type    string // likewise: "start", "stop"
	Source  Source
}

// CloseSeams ends what is half where measures of another part go on with music
// of their own: ties to and from the measure that begins at each seam (indices,
// from 1 on), and lines that lost an end, which it returns. Measures that p
// shares with that part are copied before they are changed; of the lines in
// them those that had one end only stay.
func (p *Part) CloseSeams(from *Part, seams []int) []LineEnd {
	if len(seams) == 0 {
		return nil
	}
	leaves := make([]leaf, len(p.Measures))
	var is, was []half
	for i, m := range p.Measures {
		leaves[i] = leaf{m, m != from.Measures[i]}
		is = append(is, m.halves(i)...)
		was = append(was, from.Measures[i].halves(i)...)
	}
	always := places(unpaired(was))
	lost := slices.DeleteFunc(unpaired(is), func(h half) bool {
		return !leaves[h.measure].own && always[measurePlace{h.measure, h.halfPlace}]
	})
	var ends []LineEnd
	for _, h := range lost {
		ends = append(ends, p.Measures[h.measure].lineEnd(&h))
	}
	drop(leaves, lost)
	for _, i := range seams {
		cutTies(&leaves[i-1], &leaves[i])
	}
	for i := range leaves {
		p.Measures[i] = leaves[i].Measure
	}
	return ends
}

func (m *Measure) lineEnd(h *half) LineEnd {
	if h.direction {
		d := m.Directions[h.owner]
		s := d.Signs[h.own]
		return LineEnd{h.measure, d.Onset, h.name, s.Type, s.Source}
	}
	n := m.Notes[h.owner]
	mark := n.Marks[h.own]
	return LineEnd{h.measure, n.Onset, h.name, mark.Type, mark.Source}
}
