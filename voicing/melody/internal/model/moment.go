package model

// noHeight stands for the distance to a neighbour that does not exist.
const noHeight = 30

// moment is how a note stands among what sounds when it is struck.
type moment struct {
	struck, sounding         int // notes, itself included; sounding counts held ones
	struckAbove, struckBelow int
	soundsAbove, soundsBelow int
	gapAbove, gapBelow       int // semitones to the next sounding note, noHeight without one
	sameLength               int // other notes struck with it and as long
	longer, shorter          int // notes struck with it
	octaveAbove, octaveBelow int // 1 when its octave is struck with it
	voiceChord               int // other notes struck with it in its voice
	handAbove, handBelow     int // notes struck with it on its own staff
	voicesInHand             int // other voices that strike on its staff
	handSpan, handSounds     int // semitones and notes sounding on its staff
	voiceRank                int // voices of its staff with a smaller number that sound
	untilNext, sincePrevious int // ticks to the neighbouring groups
}

// moments looks at every note once, with the notes still held.
func (m *Music) moments() []moment {
	out := make([]moment, len(m.Notes))
	var held []int
	for gi, g := range m.Groups {
		on := m.Notes[g.First].On
		held = m.stillHeld(held, on)
		for i := g.First; i < g.Last; i++ {
			held = append(held, i)
		}
		before, after := m.distances(gi)
		for i := g.First; i < g.Last; i++ {
			out[i] = m.moment(i, g, held)
			out[i].sincePrevious, out[i].untilNext = before, after
		}
	}
	return out
}

// stillHeld keeps the notes that sound on past the time on.
func (m *Music) stillHeld(held []int, on int) []int {
	kept := held[:0]
	for _, h := range held {
		if m.Notes[h].End > on {
			kept = append(kept, h)
		}
	}
	return kept
}

// distances are the ticks from group gi to the one before and the one after.
func (m *Music) distances(gi int) (before, after int) {
	before, after = 4*quarter, 4*quarter
	on := m.Notes[m.Groups[gi].First].On
	if gi > 0 {
		before = on - m.Notes[m.Groups[gi-1].First].On
	}
	if gi+1 < len(m.Groups) {
		after = m.Notes[m.Groups[gi+1].First].On - on
	}
	return before, after
}

func (m *Music) moment(i int, g Group, sounding []int) moment {
	n := &m.Notes[i]
	o := moment{
		struck: g.Last - g.First, sounding: len(sounding),
		struckAbove: g.Last - 1 - i, struckBelow: i - g.First,
		gapAbove: noHeight, gapBelow: noHeight,
	}
	low, high := n.Pitch, n.Pitch
	for _, h := range sounding {
		switch up := m.Notes[h].Pitch - n.Pitch; {
		case up > 0:
			o.soundsAbove++
			o.gapAbove = min(o.gapAbove, up)
		case up < 0:
			o.soundsBelow++
			o.gapBelow = min(o.gapBelow, -up)
		}
		if m.Notes[h].Hand == n.Hand {
			o.handSounds++
			low, high = min(low, m.Notes[h].Pitch), max(high, m.Notes[h].Pitch)
			if m.Notes[h].Voice < n.Voice {
				o.voiceRank++
			}
		}
	}
	o.handSpan = high - low
	for j := g.First; j < g.Last; j++ {
		if j != i {
			o.meet(n, &m.Notes[j])
		}
	}
	return o
}

// meet counts other, struck together with n.
func (o *moment) meet(n, other *Note) {
	up := other.Pitch - n.Pitch
	switch {
	case other.Length() == n.Length():
		o.sameLength++
	case other.Length() > n.Length():
		o.longer++
	default:
		o.shorter++
	}
	if up == 12 {
		o.octaveAbove = 1
	}
	if up == -12 {
		o.octaveBelow = 1
	}
	if other.Hand != n.Hand {
		return
	}
	if up > 0 {
		o.handAbove++
	} else {
		o.handBelow++
	}
	if other.Voice == n.Voice {
		o.voiceChord++
	} else {
		o.voicesInHand++
	}
}
