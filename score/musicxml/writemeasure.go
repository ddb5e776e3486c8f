package musicxml

import (
	"maps"
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// measureWriter writes one measure. Its cursor is MusicXML's.
type measureWriter struct {
	*partWriter
	m       *score.Measure
	at      score.Time
	over    map[int][]overStaff // what is still to be written, in order, by staff
	changes map[score.Time]*changes
}

// overStaff is something that stands at a moment, not in a voice.
type overStaff struct {
	onset score.Time
	voice int // among whose events it is written, if they are there; 0 for any
	write func()
}

// measure writes an engraved measure. Of the next one it is told where that
// stays as it was read.
func (p *partWriter) measure(m *score.Measure, voices []notation.Voice, first bool, divisions score.Time, next *score.Measure) {
	w := &measureWriter{partWriter: p, m: m, over: map[int][]overStaff{}, changes: changesOf(m)}
	w.start("measure")
	w.attr("number", m.Number)
	if m.Implicit {
		w.attr("implicit", "yes")
	}
	w.keepAttributes()
	w.prints()
	w.barlines("left")
	w.attributesAt(score.Time{}, first, divisions)
	w.gather()
	for i := range voices {
		lastOfStaff := i+1 == len(voices) || voices[i+1].Staff != voices[i].Staff
		w.voice(&voices[i], lastOfStaff)
	}
	w.barlines("right")
	if next != nil {
		w.prepare(next)
	}
	w.end()
}

// keepAttributes keeps what the source's measure says beside its number: text
// shown instead of that, and whether other parts go by its barlines.
func (w *measureWriter) keepAttributes() {
	if w.m.Source == 0 {
		return
	}
	was := w.doc.element(w.m.Source)
	if was.Tag == "part" {
		was = was.Parent()
	}
	for _, key := range []string{"text", "non-controlling"} {
		if a := was.SelectAttr(key); a != nil && label(attr(was, "number")) == w.m.Number {
			w.attr(key, a.Value)
		}
	}
}

// count is t in divisions.
func (p *partWriter) count(t score.Time) int64 {
	d := t.Mul(p.divisions.Num(), p.divisions.Den())
	return d.Num() / d.Den()
}

// prints writes the layout hints, which stand before everything else.
func (w *measureWriter) prints() {
	for _, o := range w.m.Others {
		if o.Name == "print" {
			w.copy(w.doc.element(o.Source), false)
		}
	}
}

// barlines writes those at the left or the right edge.
func (w *measureWriter) barlines(location string) {
	for i := range w.m.Barlines {
		if b := &w.m.Barlines[i]; b.Location == location {
			w.copy(w.barline(b), false)
		}
	}
}

func (w *measureWriter) barline(b *score.Barline) *etree.Element {
	if w.sameBarline(b) {
		return w.doc.unplaced(b.Source)
	}
	e := etree.NewElement("barline")
	e.CreateAttr("location", b.Location)
	if b.Style != "" {
		e.CreateElement("bar-style").SetText(b.Style)
	}
	jumpSign(e, "segno", b.Segno, b.SegnoLabel)
	jumpSign(e, "coda", b.Coda, b.CodaLabel)
	if b.Ending.Type != "" {
		ending := e.CreateElement("ending")
		ending.CreateAttr("number", b.Ending.Numbers)
		ending.CreateAttr("type", b.Ending.Type)
	}
	if b.Repeat != "" {
		r := e.CreateElement("repeat")
		r.CreateAttr("direction", b.Repeat)
		if b.Times > 0 && b.Times != 2 {
			r.CreateAttr("times", strconv.Itoa(b.Times))
		}
		if b.AfterJump {
			r.CreateAttr("after-jump", "yes")
		}
	}
	return e
}

// jumpSign adds a sign that jumps go to, and what they call it by.
func jumpSign(barline *etree.Element, tag string, shown bool, label string) {
	if label != "" {
		barline.CreateAttr(tag, label)
	}
	if shown {
		barline.CreateElement(tag)
	}
}

// gather collects what stands at a moment, in the order of time.
func (w *measureWriter) gather() {
	addTo := func(onset score.Time, staff, voice int, write func()) {
		staff = max(staff, 1)
		w.over[staff] = append(w.over[staff], overStaff{score.Min(onset, w.m.Length), voice, write})
	}
	add := func(onset score.Time, staff int, write func()) { addTo(onset, staff, 0, write) }
	for _, onset := range slices.SortedFunc(maps.Keys(w.changes), score.Time.Cmp) {
		if onset.Sign() > 0 {
			add(onset, 1, func() { w.attributesAt(onset, false, w.divisions) })
		}
	}
	for _, o := range w.m.Others {
		if o.Name != "print" && !inAttributes[o.Name] {
			add(o.Onset, o.Staff, func() { w.copy(w.other(&o), false) })
		}
	}
	for i := range w.m.Barlines {
		if b := &w.m.Barlines[i]; b.Location == "middle" {
			add(b.Onset, 1, func() { w.copy(w.barline(b), false) })
		}
	}
	for i := range w.m.Chords {
		c := &w.m.Chords[i]
		add(c.Onset, c.Staff, func() { w.copy(w.harmony(c), false) })
	}
	for i := range w.m.Directions {
		d := &w.m.Directions[i]
		addTo(d.Onset, d.Staff, d.Voice, func() { w.direction(d) })
	}
	for _, over := range w.over {
		slices.SortStableFunc(over, func(x, y overStaff) int { return x.onset.Cmp(y.onset) })
	}
}

// other builds what the model only carries: at its own moment, so without
// offset, and with its length in the divisions in force.
func (w *measureWriter) other(o *score.Other) *etree.Element {
	e := w.doc.element(o.Source).Copy()
	remove(e, "offset")
	if c := child(e, "duration"); c != nil {
		c.SetText(w.recount(o.Source, "duration", c.Text()))
	}
	return e
}

// voice writes the events of a voice and, before the event at or after which
// it falls, what stands over its staff, unless that is of another voice. The
// last voice of a staff writes everything that is left of it.
func (w *measureWriter) voice(v *notation.Voice, last bool) {
	w.move(score.Time{})
	over := w.over[v.Staff]
	var others []overStaff // of other voices, passed by
	for i := range v.Events {
		for at := v.Events[i].Onset; len(over) > 0 && !at.Less(over[0].onset); over = over[1:] {
			if o := &over[0]; o.voice == 0 || o.voice == v.Number {
				w.writeOver(o)
			} else {
				others = append(others, *o)
			}
		}
		w.event(v, &v.Events[i])
	}
	over = append(others, over...)
	w.over[v.Staff] = slices.DeleteFunc(over, func(o overStaff) bool {
		now := last || o.voice == v.Number
		if now {
			w.writeOver(&o)
		}
		return now
	})
}

// writeOver writes what stands over a staff and takes the cursor there where an
// event reaches over it.
func (w *measureWriter) writeOver(o *overStaff) {
	before, back := w.mark(), w.at
	w.move(o.onset)
	moved := w.mark()
	if o.write(); w.since(moved) {
		w.move(back)
	} else { // there was nothing to say
		w.reset(before)
		w.at = back
	}
}

// move takes the cursor to a moment.
func (w *measureWriter) move(to score.Time) {
	by, tag := to.Sub(w.at), "forward"
	if by.Sign() < 0 {
		by, tag = w.at.Sub(to), "backup"
	}
	if by.Sign() != 0 {
		w.start(tag)
		w.number("duration", w.count(by))
		w.end()
	}
	w.at = to
}
