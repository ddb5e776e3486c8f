package model

// style is what tells one kind of music from another, asked of the piece as a
// whole and coarsely: what marks a melody differs between a song with its
// voice, a pop arrangement, a sonata.
type style struct {
	oddLengths int // notes whose length no single note or dotted note has
	offBeats   int // onsets off the eighths
	triplets   int // onsets off the sixteenths
	together   int // notes struck at once
	sounding   int // notes sounding at once
	pace       int // onsets in a quarter
	covered    int // onsets whose highest note is under a held one
	wide       int // onsets at which a hand has more than an octave to hold, in fortieths
	played     bool
}

// style tells how the piece goes: shares in tenths, means in halves.
func (v *View) style() style {
	var s style
	notes, onsets := len(v.Notes), len(v.Groups)
	for i := range v.Notes {
		s.oddLengths += truth(!usualLength(v.Notes[i].Length()))
		s.sounding += v.moments[i].sounding
	}
	for _, g := range v.Groups {
		top := g.Last - 1
		level := beatLevel(v.Notes[top].Beat)
		s.offBeats += truth(level >= 3)
		s.triplets += truth(level >= 4)
		s.covered += truth(v.moments[top].soundsAbove > 0)
		s.wide += truth(v.moments[top].handSpan > 12)
	}
	span := 1
	if notes > 0 {
		span = max(1, (v.Notes[notes-1].On-v.Notes[0].On)/quarter)
	}
	return style{
		10 * s.oddLengths / max(1, notes), 10 * s.offBeats / max(1, onsets), 10 * s.triplets / max(1, onsets),
		2 * notes / max(1, onsets), 2 * s.sounding / max(1, notes), 2 * onsets / span,
		10 * s.covered / max(1, onsets), 40 * s.wide / max(1, onsets),
		40*s.oddLengths > notes && 20*s.triplets < onsets,
	}
}

// Played tells whether the piece looks like playing taken down: on a grid of
// sixteenths, but with notes as long as the keys were held. Other music is
// written: its lengths are those that one note can have.
func (v *View) Played() bool { return v.ways.played }

// usualLength tells whether one note, plain or dotted, can have this length.
func usualLength(ticks int) bool {
	for l := 8 * quarter; l >= quarter/16; l /= 2 {
		// A third of a length may have been rounded.
		if ticks == l || 2*ticks == 3*l || ticks/2 == l/6 {
			return true
		}
	}
	return false
}

var styleColumns = []column{
	{"odd lengths", func(a *asked) int { return a.ways.oddLengths }},
	{"off the eighths", func(a *asked) int { return a.ways.offBeats }},
	{"off the sixteenths", func(a *asked) int { return a.ways.triplets }},
	{"struck at once", func(a *asked) int { return a.ways.together }},
	{"sounding at once", func(a *asked) int { return a.ways.sounding }},
	{"pace", func(a *asked) int { return a.ways.pace }},
	{"tops under held notes", func(a *asked) int { return a.ways.covered }},
	{"wide hands", func(a *asked) int { return a.ways.wide }},
}
