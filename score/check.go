package score

import (
	"fmt"
	"slices"
)

// Check gives what is wrong with s as a score, each an [*Error] with its
// place: what must hold whatever was read and whatever a pass has done.
//
//   - A score has parts, parts have unique names (ID), at least one staff and
//     all the same number of measures, of which those side by side are of the
//     same length.
//   - No measure is missing or has a negative length. Everything in a measure
//     begins within it: onset 0 to its length. Notes end within it.
//   - Notes have a length, grace notes none. Staves are those of the part (0,
//     all or unsaid, only for what is no note), voices begin at 1, pitches are
//     of octaves 0 to 9.
//   - In a voice of a staff the next note does not begin before the shortest
//     one of the chord before it has ended (the others may go on), and no
//     chord has a pitch twice. Grace, cue and hidden notes are left alone.
//   - A tie has both its notes, of one pitch: the second begins where the first
//     ends, or later in the same measure (a tie over a gap). Where the order of
//     performance leaves or arrives, one end is enough.
//   - Slurs, wedges, ottavas, pedals and other lines have both their ends, as
//     written or as performed.
//   - Key signatures are of -14 to 14 fifths, time signatures of positive
//     numbers, tuplet ratios of two positive numbers or none, times of
//     backward repeats not negative.
//
// It says nothing of what real scores do on purpose: measures shorter or
// longer than the time signature, voices with gaps.
func Check(s *Score) []error {
	c := &checker{score: s}
	if c.parts(); len(c.problems) > 0 {
		return c.problems // what follows counts on these
	}
	c.findJumps()
	for _, p := range s.Parts {
		c.part(p)
	}
	return c.problems
}

// checker collects problems. Part, measure and time signature are those at hand.
type checker struct {
	score    *Score
	problems []error
	p        *Part
	m        *Measure
	time     TimeSignature
	beats    []Time // of that, once they have been needed

	order         []Played     // nil when it cannot be told
	left, arrived map[int]bool // measures that the order leaves by a jump, and arrives at
}

func (c *checker) problem(format string, args ...any) *Error {
	e := &Error{Problem: fmt.Sprintf(format, args...)}
	if c.p != nil {
		e.Part = c.p.ID
	}
	if c.m != nil {
		e.Measure = c.m.Number
	}
	c.problems = append(c.problems, e)
	return e
}

// at is a problem at a moment of the measure.
func (c *checker) at(onset Time, format string, args ...any) {
	if c.beats == nil {
		c.beats = c.time.validBeats()
	}
	c.problem(format, args...).Beat = BeatName(onset, c.beats)
}

func (c *checker) parts() {
	if len(c.score.Parts) == 0 {
		c.problem("the score has no part")
	}
	if slices.Contains(c.score.Parts, nil) {
		c.problem("a part is missing (nil)")
		return
	}
	names := map[string]bool{}
	for _, p := range c.score.Parts {
		c.p = p
		if names[p.ID] {
			c.problem("two parts have this name: give each its own")
		}
		names[p.ID] = true
		if n := c.score.MeasureCount(); len(p.Measures) != n {
			c.problem("%d measures where another part has %d: give all parts the same measures", len(p.Measures), n)
		}
		if slices.Contains(p.Measures, nil) {
			c.problem("a measure is missing (nil)")
		}
		if p.Staves < 1 {
			c.problem("%d staves: a part has at least 1", p.Staves)
		}
	}
}

func (c *checker) part(p *Part) {
	c.p = p
	f := newInForce(p.Staves)
	for i, m := range p.Measures {
		c.m = m
		if now := m.firstTime(f.times[1].Time); !now.Equal(c.time) {
			c.time, c.beats = now, nil
		}
		if first := c.score.Parts[0].Measures[i]; m.Length != first.Length {
			c.problem("a length of %s quarter notes where part %s has %s", m.Length, c.score.Parts[0].ID, first.Length)
		}
		c.measure(m)
		c.ties(i)
		f.advance(m)
	}
	c.lines()
	c.m = nil
}

func (c *checker) measure(m *Measure) {
	if m.Length.Sign() < 0 {
		c.problem("a length of %s quarter notes is negative", m.Length)
	}
	for i := range m.Notes {
		c.note(&m.Notes[i])
	}
	c.voices(m)
	c.changes(m)
	for _, d := range m.Directions {
		c.placed("direction", d.Onset, d.Staff)
	}
	for _, h := range m.Chords {
		c.placed("chord symbol", h.Onset, h.Staff)
	}
	for _, b := range m.Barlines {
		c.placed("barline", b.Onset, 0)
		if b.Times < 0 {
			c.problem("a repeat of %d times: a repeat is played at least once", b.Times)
		}
	}
	for _, o := range m.Others {
		c.placed(o.Name, o.Onset, o.Staff)
	}
}

func (c *checker) note(n *Note) {
	switch {
	case n.Onset.Sign() < 0:
		c.problem("a note begins at %s, before its measure", n.Onset)
	case n.Length.Sign() < 0:
		c.at(n.Onset, "a note's length of %s is negative", n.Length)
	case n.Grace && n.Length.Sign() != 0:
		c.at(n.Onset, "a grace note's length of %s is not zero", n.Length)
	case !n.Grace && n.Length.Sign() == 0:
		c.at(n.Onset, "a note without length that is no grace note")
	case c.m.Length.Less(n.End()):
		c.at(n.Onset, "a note ends at %s, after its measure, which ends at %s: shorten or split it", n.End(), c.m.Length)
	}
	if n.Staff < 1 || n.Staff > c.p.Staves {
		c.at(n.Onset, "a note on staff %d of %d", n.Staff, c.p.Staves)
	}
	if n.Voice < 1 {
		c.at(n.Onset, "a note in voice %d: voices begin at 1", n.Voice)
	}
	if p := n.Pitch; n.Kind == Pitched && (p.Octave < 0 || p.Octave > 9 || p.Step < C || p.Step > B) {
		c.at(n.Onset, "no such pitch: step %d, octave %d; octaves are 0 to 9", p.Step, p.Octave)
	}
	for _, r := range [2]Ratio{n.Ratio, n.Outer} {
		if r != (Ratio{}) && (r.Actual < 1 || r.Normal < 1) {
			c.at(n.Onset, "a tuplet of %d notes in the time of %d", r.Actual, r.Normal)
		}
	}
}

// voices looks for notes that are in each other's way.
func (c *checker) voices(m *Measure) {
	type voice struct{ staff, voice int }
	type chord struct {
		onset, end Time // end of its shortest note
		pitches    []Pitch
	}
	last := map[voice]*chord{}
	for _, n := range inTime(m.Notes) {
		if !n.Plays() || n.Grace {
			continue
		}
		at := voice{n.Staff, n.Voice}
		before := last[at]
		switch {
		case before == nil || !n.Onset.Less(before.end):
			last[at] = &chord{n.Onset, n.End(), []Pitch{n.Pitch}}
		case before.onset != n.Onset:
			c.at(n.Onset, "%s begins before the note before it in voice %d ends: shorten that, or use another voice",
				n.Pitch, n.Voice)
		case slices.Contains(before.pitches, n.Pitch):
			c.at(n.Onset, "%s twice in a chord of voice %d: remove one", n.Pitch, n.Voice)
		default:
			before.pitches = append(before.pitches, n.Pitch)
			before.end = Min(before.end, n.End())
		}
	}
}

// placed checks where something that is no note stands.
func (c *checker) placed(what string, onset Time, staff int) {
	if onset.Sign() < 0 || c.m.Length.Less(onset) {
		c.problem("a %s at %s is outside its measure of %s quarter notes", what, onset, c.m.Length)
	}
	if staff < 0 || staff > c.p.Staves {
		c.problem("a %s on staff %d of %d", what, staff, c.p.Staves)
	}
}

func (c *checker) changes(m *Measure) {
	for _, k := range m.Keys {
		c.placed("key signature", k.Onset, k.Staff)
		if k.Key.Fifths < -14 || k.Key.Fifths > 14 {
			c.problem("a key signature of %d fifths: the limit is 14", k.Key.Fifths)
		}
	}
	for _, t := range m.Times {
		c.placed("time signature", t.Onset, t.Staff)
		if !validTime(t.Time) {
			c.problem("a time signature with a number under 1: %v", t.Time.Groups)
		}
	}
	for _, k := range m.Clefs {
		c.placed("clef", k.Onset, k.Staff)
	}
	for _, t := range m.Transposes {
		c.placed("transposition", t.Onset, t.Staff)
	}
}

func validTime(t TimeSignature) bool {
	for _, g := range t.Groups {
		if g.Unit < 1 || len(g.Beats) == 0 || slices.ContainsFunc(g.Beats, func(b int) bool { return b < 1 }) {
			return false
		}
	}
	return true
}
