package notation

import (
	"cmp"
	"slices"

	"undersong/score"
)

// Context is what holds when a measure begins: it is carried through a part
// from measure to measure. Its slices are by staff, the first staff first.
type Context struct {
	time  score.TimeSignature
	keys  []score.KeySignature
	clefs []score.Clef
	// ottavas are how many octaves higher than it sounds the music is
	// written: -1 under an 8va.
	ottavas []int

	begun   bool // a measure has gone by
	numbers numbers
	meter   *meter // of the latest measure, nil when the time has changed
	memory  memory
}

// memory is what measures are worked out in, one after the other.
type memory struct {
	shown  shown
	placed []placed
	notes  []*score.Note
	chords []chord
	parted []chord
	lanes  []lane
	struck []struck
	clefs  []score.ClefChange // of the measure at hand, by staff and onset
	pieces []piece
	info   []info
}

// NewContext is the context at the start of part. It looks through all of
// part once, to give each voice one number throughout.
func NewContext(part *score.Part) *Context {
	n := numberVoices(part)
	return &Context{
		keys:    make([]score.KeySignature, n.staves),
		clefs:   slices.Repeat([]score.Clef{score.Treble}, n.staves),
		ottavas: make([]int, n.staves),
		numbers: n,
	}
}

// Advance moves c past m without engraving it.
func (c *Context) Advance(m *score.Measure) {
	for _, t := range inOrder(m.Times, func(t score.TimeChange) score.Time { return t.Onset }) {
		c.setTime(t)
	}
	for _, k := range inOrder(m.Keys, keyOnset) {
		setStaff(c.keys, k.Staff, k.Key)
	}
	for _, k := range inOrder(m.Clefs, func(k score.ClefChange) score.Time { return k.Onset }) {
		setStaff(c.clefs, k.Staff, k.Clef)
	}
	for _, o := range ottavas(m) {
		setStaff(c.ottavas, o.staff, o.octaves)
	}
	c.begun = true
}

// begin finds the meter of m and puts its clefs in order.
func (c *Context) begin(m *score.Measure) {
	c.memory.clefs = append(c.memory.clefs[:0], m.Clefs...)
	slices.SortStableFunc(c.memory.clefs, func(x, y score.ClefChange) int {
		return cmp.Or(cmp.Compare(x.Staff, y.Staff), x.Onset.Cmp(y.Onset))
	})
	for _, t := range m.Times {
		if t.Onset.Sign() == 0 {
			c.setTime(t)
		}
	}
	length, toEnd := measureLength(m), m.Implicit || !c.begun
	if c.meter == nil || c.meter.length != length || c.meter.toEnd != toEnd {
		c.meter = newMeter(c.time, length, toEnd)
	}
}

// setTime takes the first staff's signature for all.
func (c *Context) setTime(t score.TimeChange) {
	if t.Staff <= 1 && !t.Time.Equal(c.time) {
		c.time, c.meter = t.Time, nil
	}
}

// measureLength is that of m, and never less than what it holds.
func measureLength(m *score.Measure) score.Time {
	length := m.Length
	for i := range m.Notes {
		length = score.Max(length, m.Notes[i].End())
	}
	return length
}

// clefAt is the clef of a staff at an onset in the measure that was begun.
func (c *Context) clefAt(staff int, onset score.Time) score.Clef {
	n, _ := slices.BinarySearchFunc(c.memory.clefs, onset, func(k score.ClefChange, onset score.Time) int {
		return cmp.Or(cmp.Compare(k.Staff, staff), k.Onset.Cmp(onset), -1) // after those at onset
	})
	if n == 0 || c.memory.clefs[n-1].Staff != staff {
		return c.clefs[staff-1]
	}
	return c.memory.clefs[n-1].Clef
}

// ottava is a change of how far off the written octave is.
type ottava struct {
	onset   score.Time
	staff   int
	octaves int
}

// ottavas are those that start or stop in m, in order of time.
func ottavas(m *score.Measure) []ottava {
	var all []ottava
	for i := range m.Directions {
		d := &m.Directions[i]
		for j := range d.Signs {
			if s := &d.Signs[j]; s.Name == "octave-shift" {
				all = append(all, ottava{d.Onset, max(d.Staff, 1), shift(s)})
			}
		}
	}
	return inOrder(all, func(o ottava) score.Time { return o.onset })
}

// shift is what the sign of an ottava does: "down" says that the notes are
// written lower than they sound.
func shift(s *score.Sign) int {
	octaves := (s.Size - 1) / 7
	switch s.Type {
	case "down":
		return -octaves
	case "up":
		return octaves
	}
	return 0
}

func keyOnset(k score.KeyChange) score.Time { return k.Onset }

// setStaff sets the value of one staff, or of all for staff 0.
func setStaff[T any](values []T, staff int, v T) {
	for i := range values {
		if staff == 0 || staff == i+1 {
			values[i] = v
		}
	}
}

// inOrder is list by onset, itself where it is so already.
func inOrder[T any](list []T, onset func(T) score.Time) []T {
	byOnset := func(a, b T) int { return onset(a).Cmp(onset(b)) }
	if slices.IsSortedFunc(list, byOnset) {
		return list
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, byOnset)
	return list
}
