package notation

import (
	"cmp"
	"slices"

	"undersong/score"
)

// chord is notes struck and held together, or a rest of the score.
type chord struct {
	voice    int // its number, before overlaps are parted
	from, to score.Time
	notes    []*score.Note // from low to high, or the one rest
	kind     kind
}

// kind orders what begins at one moment.
type kind int8

const (
	grace kind = iota // a note of no length counts as one
	note
	rest
)

func kindOf(n *score.Note) kind {
	switch {
	case n.Kind == score.Rest:
		return rest
	case n.Grace || n.Length.Sign() == 0:
		return grace
	}
	return note
}

func (c *chord) top() score.Pitch { return c.notes[len(c.notes)-1].Pitch }

// ratio is the tuplet's that the score writes c in.
func (c *chord) ratio() score.Ratio { return c.notes[0].Ratio }

// outer is the ratio of the tuplet around c's own, where the score nests them.
func (c *chord) outer() score.Ratio { return c.notes[0].Outer }

// lane is one voice of a measure: chords and rests without overlap.
type lane struct {
	number, staff int
	chords        []chord
}

// end is where the last chord of l stops; a rest gives way to notes.
func (l *lane) end(without kind) score.Time {
	last := len(l.chords) - 1
	if last >= 0 && l.chords[last].kind == without {
		last--
	}
	if last < 0 {
		return score.Time{}
	}
	return l.chords[last].to
}

// lanes parts the notes of m into voices that can be written, by staff and
// number.
func (c *Context) lanes(m *score.Measure) []lane {
	lanes := c.memory.lanes[:0]
	chords := c.chords(m)
	room := slices.Grow(c.memory.parted[:0], len(chords))
	c.memory.parted = room
	for at := 0; at < len(chords); {
		end := at + 1
		for end < len(chords) && chords[end].voice == chords[at].voice {
			end++
		}
		lanes = c.part(lanes, chords[at:end], room[at:at:end])
		at = end
	}
	lanes = c.fill(needed(lanes), m)
	c.memory.lanes = lanes
	slices.SortFunc(lanes, func(a, b lane) int {
		return cmp.Or(cmp.Compare(a.staff, b.staff), cmp.Compare(a.number, b.number))
	})
	return lanes
}

// chords gathers the notes of m that share voice, onset and length. They
// come by voice and onset, at one onset grace notes first and rests last, the
// highest chord before the others.
func (c *Context) chords(m *score.Measure) []chord {
	notes, chords := slices.Grow(c.memory.notes[:0], len(m.Notes)), c.memory.chords[:0]
	for _, p := range c.placed(m) {
		notes = append(notes, p.note)
		if i := len(chords) - 1; i >= 0 && chords[i].takes(p) {
			chords[i].notes = notes[len(notes)-1-len(chords[i].notes):]
			if p.kind == grace {
				slices.SortStableFunc(chords[i].notes, func(a, b *score.Note) int { return comparePitch(a.Pitch, b.Pitch) })
			}
		} else {
			chords = append(chords, chord{p.voice, p.note.Onset, p.note.End(), notes[len(notes)-1:], p.kind})
		}
	}
	c.memory.notes, c.memory.chords = notes, chords
	slices.SortStableFunc(chords, func(a, b chord) int {
		order := cmp.Or(cmp.Compare(a.voice, b.voice), a.from.Cmp(b.from), cmp.Compare(a.kind, b.kind))
		if order != 0 || a.kind != note {
			return order
		}
		return -comparePitch(a.top(), b.top())
	})
	return chords
}

// placed is a note with what decides its place.
type placed struct {
	voice int
	kind  kind
	note  *score.Note
}

// placed are the notes of m by voice and onset, those of a chord together from
// low to high. Grace notes keep the order of the score.
func (c *Context) placed(m *score.Measure) []placed {
	all := c.memory.placed[:0]
	for i := range m.Notes {
		n := &m.Notes[i]
		if k := kindOf(n); k != rest || n.Length.Sign() > 0 {
			all = append(all, placed{c.numbers.of(n), k, n})
		}
	}
	c.memory.placed = all
	slices.SortStableFunc(all, func(a, b placed) int {
		order := cmp.Or(cmp.Compare(a.voice, b.voice), a.note.Onset.Cmp(b.note.Onset), cmp.Compare(a.kind, b.kind))
		if order != 0 || a.kind != note {
			return order
		}
		return cmp.Or(a.note.Length.Cmp(b.note.Length), compareCue(a.note, b.note), comparePitch(a.note.Pitch, b.note.Pitch))
	})
	return all
}

// takes tells whether p belongs to c. The same pitch twice is two voices.
func (c *chord) takes(p placed) bool {
	if c.voice != p.voice || c.kind != p.kind || c.from != p.note.Onset {
		return false
	}
	switch c.kind {
	case grace:
		return p.note.GraceChord
	case note:
		return c.to == p.note.End() && c.notes[0].Cue == p.note.Cue &&
			(p.note.Kind == score.Unpitched || c.top() != p.note.Pitch)
	}
	return false
}

func comparePitch(a, b score.Pitch) int {
	return cmp.Or(cmp.Compare(a.Diatonic(), b.Diatonic()), cmp.Compare(a.Alter, b.Alter))
}

func compareCue(a, b *score.Note) int {
	switch {
	case a.Cue == b.Cue:
		return 0
	case b.Cue:
		return -1
	}
	return 1
}

// part adds the chords of one voice, and what overlaps in it as voices of
// their own. Rests that notes of the first of these overlap are left out. The
// first takes the memory that is given.
func (c *Context) part(lanes []lane, chords, room []chord) []lane {
	first, number := len(lanes), chords[0].voice
	lanes = append(lanes, lane{number: number, staff: c.numbers.home[number], chords: room})
	for _, ch := range chords {
		i := first
		if ch.kind == rest {
			if !ch.from.Less(lanes[i].end(-1)) {
				lanes[i].chords = append(lanes[i].chords, ch)
			}
			continue
		}
		for i < len(lanes) && ch.from.Less(lanes[i].end(rest)) {
			i++
		}
		if i == len(lanes) {
			staff := ch.notes[0].Staff
			lanes = append(lanes, lane{number: c.numbers.give(line{staff, number, i - first}), staff: staff})
		}
		l := &lanes[i]
		if ch.from.Less(l.end(-1)) {
			l.chords = l.chords[:len(l.chords)-1]
		}
		l.chords = append(l.chords, ch)
	}
	return lanes
}

// needed leaves out voices of nothing but rests, except the first of a staff.
func needed(lanes []lane) []lane {
	first := map[int]int{}
	for _, l := range lanes {
		if n, known := first[l.staff]; !known || l.number < n {
			first[l.staff] = l.number
		}
	}
	return slices.DeleteFunc(lanes, func(l lane) bool {
		return !l.hasNotes() && l.number != first[l.staff]
	})
}

func (l *lane) hasNotes() bool {
	return slices.ContainsFunc(l.chords, func(c chord) bool { return c.kind != rest })
}

// fill adds a voice to every staff that would show nothing.
func (c *Context) fill(lanes []lane, m *score.Measure) []lane {
	if c.meter.length.Sign() == 0 {
		return lanes
	}
	for staff := 1; staff <= c.numbers.staves; staff++ {
		if slices.ContainsFunc(lanes, func(l lane) bool { return l.shows(staff, c.meter.length) }) {
			continue
		}
		number := c.numbers.first[staff-1]
		taken := func(l lane) bool { return l.number == number }
		if number == 0 || slices.ContainsFunc(lanes, taken) {
			number = c.numbers.give(line{staff, 0, 0})
		}
		lanes = append(lanes, lane{number: number, staff: staff})
	}
	return lanes
}

// shows tells whether l has something on a staff: a chord, or a rest in a
// gap.
func (l *lane) shows(staff int, length score.Time) bool {
	for i := range l.chords {
		for _, n := range l.chords[i].notes {
			if n.Staff == staff {
				return true
			}
		}
		length = length.Sub(l.chords[i].to.Sub(l.chords[i].from))
	}
	return l.staff == staff && length.Sign() > 0
}
