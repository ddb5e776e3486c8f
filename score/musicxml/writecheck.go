package musicxml

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"undersong/score"
	"undersong/score/notation"
)

// writable gives the first reason why s cannot be written with d: a source that
// d did not issue, or something made that the model says too little of. What
// was read and is still the same is not looked at again.
func (d *Document) writable(s *score.Score) error {
	if d.tree == nil {
		return errors.New("a document that was never read: make it with Read, or use the function Write for a score of your own")
	}
	if s == nil {
		return errors.New("there is no score (nil)")
	}
	for _, p := range s.Parts {
		if p == nil {
			return errors.New("a part is missing (nil)")
		}
		c := &writeCheck{doc: d, part: p}
		if p.Staves < 1 || p.Staves > mostStaves {
			c.problem("%d staves: a part has 1 to %d", p.Staves, mostStaves)
		}
		c.source("part", p.Source, "part")
		for _, m := range p.Measures {
			if m == nil {
				c.problem("a measure is missing (nil)")
			} else if d.measures[m.Source].measure != m {
				c.measure(m)
			}
			if c.err != nil {
				break
			}
		}
		if c.err != nil {
			return c.err
		}
	}
	return nil
}

// writeCheck keeps the first problem of a part.
type writeCheck struct {
	doc    *Document
	part   *score.Part
	number string // of the measure at hand
	err    error
}

func (c *writeCheck) problem(format string, args ...any) {
	if c.err == nil {
		c.err = &score.Error{Place: score.Place{Part: c.part.ID, Measure: c.number}, Problem: fmt.Sprintf(format, args...)}
	}
}

// source checks that the document has read what, from an element of one of
// these names.
func (c *writeCheck) source(what string, s score.Source, tags ...string) {
	if s == 0 {
		return
	}
	if e := c.doc.element(s); e == nil || !slices.Contains(tags, e.Tag) {
		c.problem("the %s has a source, %d, that is not this document's: write it with its own, or set Source to 0", what, s)
	}
}

// placed checks a staff and a moment: staff 0 is all, or not said.
func (c *writeCheck) placed(what string, onset score.Time, staff, least int) {
	if onset.Sign() < 0 {
		c.problem("a %s at %s, before its measure", what, onset)
	}
	if staff < least || staff > c.part.Staves {
		c.problem("a %s on staff %d of %d", what, staff, c.part.Staves)
	}
}

func (c *writeCheck) measure(m *score.Measure) {
	c.number = m.Number
	c.source("measure", m.Source, "measure", "part")
	if m.Length.Sign() < 0 {
		c.problem("a length of %s quarter notes is negative", m.Length)
	}
	for i := range m.Notes {
		c.note(&m.Notes[i])
	}
	c.signatures(m)
	for i := range m.Directions {
		c.direction(&m.Directions[i])
	}
	for i := range m.Chords {
		c.chord(&m.Chords[i])
	}
	for _, b := range m.Barlines {
		c.placed("barline", b.Onset, 0, 0)
		c.source("barline", b.Source, "barline")
	}
	for _, o := range m.Others {
		c.source(o.Name, o.Source, o.Name)
		if o.Source == 0 {
			c.problem("a %q without source: only what was read can be carried, so take it out", o.Name)
		}
	}
}

func (c *writeCheck) note(n *score.Note) {
	c.placed("note", n.Onset, n.Staff, 1)
	c.source("note", n.Source, "note")
	if n.Length.Sign() < 0 || n.Voice < 1 {
		c.problem("a note of %s quarter notes in voice %d: lengths are not negative, voices begin at 1", n.Length, n.Voice)
	}
	if p := n.Pitch; n.Kind == score.Pitched && (p.Step < score.C || p.Step > score.B || p.Octave < 0 || p.Octave > 9) {
		c.problem("no such pitch: step %d, octave %d; octaves are 0 to 9", p.Step, p.Octave)
	}
	for _, k := range n.Marks {
		c.source(k.Name, k.Source, k.Name)
		if k.Source == 0 && !isName(k.Name) {
			c.problem("a sign %q of a note: give it the name of an element", k.Name)
		}
	}
	for _, l := range n.Lyrics {
		c.source("lyric", l.Source, "lyric")
	}
}

// signature checks what attributes say. One that was read may be for a staff
// that is not there, as files have it.
func (c *writeCheck) signature(what string, onset score.Time, staff int, source score.Source, tag string) {
	if source != 0 {
		staff = 0
	}
	c.placed(what, onset, staff, 0)
	c.source(what, source, tag)
}

func (c *writeCheck) signatures(m *score.Measure) {
	for _, k := range m.Keys {
		c.signature("key signature", k.Onset, k.Staff, k.Source, "key")
	}
	for _, t := range m.Times {
		c.signature("time signature", t.Onset, t.Staff, t.Source, "time")
		for _, g := range t.Time.Groups {
			if g.Unit < 1 || len(g.Beats) == 0 || slices.Min(g.Beats) < 1 {
				c.problem("a time signature with a number under 1: %v", t.Time.Groups)
			}
		}
	}
	for _, k := range m.Clefs {
		c.signature("clef", k.Onset, k.Staff, k.Source, "clef")
	}
	for _, t := range m.Transposes {
		c.signature("transposition", t.Onset, t.Staff, t.Source, "transpose")
	}
}

func (c *writeCheck) direction(d *score.Direction) {
	c.placed("direction", d.Onset, d.Staff, 0)
	c.source("direction", d.Source, "direction", "sound")
	for _, s := range d.Signs {
		c.source(s.Name, s.Source, s.Name)
		if s.Source == 0 && !isName(s.Name) {
			c.problem("a sign %q of a direction: give it the name of an element", s.Name)
		}
		if s.Source == 0 && s.Name == "metronome" && s.Text != "" && (notation.Value(strings.TrimRight(s.Text, ".")).Sign() == 0 || d.Sound.Tempo <= 0) {
			c.problem("a metronome mark of %q at a tempo of %v: give it a note, such as quarter, and a tempo", s.Text, d.Sound.Tempo)
		}
	}
}

func (c *writeCheck) chord(h *score.ChordSymbol) {
	c.placed("chord symbol", h.Onset, h.Staff, 0)
	c.source("chord symbol", h.Source, "harmony")
	if h.Source == 0 && !h.HasRoot && h.Numeral.Degree == 0 && h.Kind != "none" {
		c.problem("a chord symbol %q without root or numeral: give it one, or the kind \"none\" for no chord", h.Kind)
	}
}

// isName tells whether s can name an element of MusicXML.
func isName(s string) bool {
	for i, r := range s {
		if !(r >= 'a' && r <= 'z' || i > 0 && (r == '-' || r >= '0' && r <= '9')) {
			return false
		}
	}
	return s != ""
}
