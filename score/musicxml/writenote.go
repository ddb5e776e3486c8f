package musicxml

import (
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// event writes a chord or a rest.
func (w *measureWriter) event(v *notation.Voice, ev *notation.Event) {
	if len(ev.Notes) == 0 {
		w.rest(v, ev)
	}
	for i := range ev.Notes {
		w.note(v, ev, i)
	}
	w.at = w.at.Add(ev.Length)
}

func (w *measureWriter) note(v *notation.Voice, ev *notation.Event, i int) {
	n := &ev.Notes[i]
	e := w.newNote(n)
	if n.Note.Grace {
		e.AddChild(w.grace(n.Note))
	}
	if n.Note.Cue {
		e.CreateElement("cue")
	}
	if i > 0 {
		e.CreateElement("chord")
	}
	e.AddChild(w.pitch(n.Note))
	if !n.Note.Grace {
		e.CreateElement("duration").SetText(w.count(ev.Length))
	}
	if !n.Note.Cue {
		tie(e, n)
	}
	w.instrument(e, n.Note)
	w.written(e, v, ev, n, n.Note.Staff)
	if i == 0 {
		for level, b := range ev.Beams {
			beam := e.CreateElement("beam")
			beam.CreateAttr("number", strconv.Itoa(level+1))
			if was := w.child(n.Note, "beam"); b == "begin" && was != nil && was.SelectAttr("fan") != nil {
				beam.CreateAttr("fan", attr(was, "fan"))
			}
			beam.SetText(b)
		}
	}
	w.notations(e, ev, n, i == 0)
	w.words(e, n)
}

// rest writes a rest: one of the score, or what fills a gap.
func (w *measureWriter) rest(v *notation.Voice, ev *notation.Event) {
	n := &notation.Note{Note: &score.Note{}, First: true, Last: true}
	if ev.Rest != nil {
		n.Note = ev.Rest
	}
	e := w.newNote(n)
	if n.Note.Cue {
		e.CreateElement("cue")
	}
	rest := etree.NewElement("rest")
	if was := w.child(n.Note, "rest"); was != nil {
		rest = was.Copy() // where it stands on the staff
		rest.RemoveAttr("measure")
	}
	if ev.MeasureRest {
		rest.CreateAttr("measure", "yes")
	}
	e.AddChild(rest)
	e.CreateElement("duration").SetText(w.count(ev.Length))
	w.written(e, v, ev, n, ev.Staff)
	w.notations(e, ev, n, true)
	w.words(e, n)
}

// newNote begins the element of a note.
func (w *measureWriter) newNote(n *notation.Note) *etree.Element {
	e := w.e.CreateElement("note")
	if n.Note.Hidden {
		e.CreateAttr("print-object", "no")
	}
	if n.Note.TimeOnly != "" {
		e.CreateAttr("time-only", n.Note.TimeOnly)
	}
	w.attributes(e, n)
	return e
}

// attributes copies what a note of a part that was read says of its looks and
// its sound; in a part that a pass made both are new.
func (w *measureWriter) attributes(e *etree.Element, n *notation.Note) {
	if w.part.Source == 0 || n.Note.Source == 0 {
		return
	}
	for _, a := range w.doc.element(n.Note.Source).Attr {
		key := a.FullKey()
		switch {
		case e.SelectAttr(key) != nil || key == "print-object" || key == "time-only" || slices.Contains(layoutAttributes, key):
		case key == "attack" && !n.First || key == "release" && !n.Last:
		case key == "attack" || key == "release":
			e.CreateAttr(key, w.recount(n.Note.Source, key, a.Value))
		default:
			e.CreateAttr(key, a.Value)
		}
	}
}

// recount is a length that an element says in the divisions it was read
// under, in those in force.
func (p *partWriter) recount(source score.Source, name, was string) string {
	t, known := p.doc.lengths[lengthKey{source, name}]
	if !known {
		return was
	}
	return decimalText(t.Mul(p.divisions.Num(), p.divisions.Den()))
}

// child is the child of the element that n was read from, if there is one.
func (w *measureWriter) child(n *score.Note, tag string) *etree.Element {
	if n.Source == 0 {
		return nil
	}
	return w.doc.element(n.Source).SelectElement(tag)
}

// instrument names the player of a note, in a part that was read.
func (w *measureWriter) instrument(e *etree.Element, n *score.Note) {
	if w.part.Source == 0 || n.Source == 0 {
		return
	}
	for _, i := range w.doc.element(n.Source).SelectElements("instrument") {
		e.AddChild(i.Copy())
	}
}

// written adds voice, type, dots, accidental, time modification, stem and
// staff, in the order of the schema.
func (w *measureWriter) written(e *etree.Element, v *notation.Voice, ev *notation.Event, n *notation.Note, staff int) {
	if n.First {
		w.copyMarks(e, n.Note, "footnote", "level")
	}
	e.CreateElement("voice").SetText(strconv.Itoa(v.Number))
	if ev.Type != "" {
		t := e.CreateElement("type")
		t.SetText(ev.Type)
		if was := w.child(n.Note, "type"); was != nil && was.SelectAttr("size") != nil {
			t.CreateAttr("size", attr(was, "size"))
		}
		for range ev.Dots {
			e.CreateElement("dot")
		}
	}
	if n.Accidental != "" {
		e.AddChild(w.accidental(n))
	}
	if ev.Ratio != (score.Ratio{}) {
		e.AddChild(w.timeModification(ev, n.Note))
	}
	if s := stemNames[ev.Stem]; s != "" && n.Note.Kind != score.Rest {
		e.CreateElement("stem").SetText(s)
	}
	w.copyMarks(e, n.Note, "notehead", "notehead-text")
	if w.part.Staves > 1 {
		e.CreateElement("staff").SetText(strconv.Itoa(staff))
	}
}

var stemNames = map[score.Stem]string{
	score.StemUp: "up", score.StemDown: "down", score.StemNone: "none", score.StemDouble: "double",
}

// accidental is the source's, with its brackets, where it shows the same.
func (w *measureWriter) accidental(n *notation.Note) *etree.Element {
	if was := w.child(n.Note, "accidental"); was != nil && was.Text() == n.Accidental {
		e := was.Copy()
		unplace(e)
		return e
	}
	e := etree.NewElement("accidental")
	e.SetText(n.Accidental)
	if n.Cautionary {
		e.CreateAttr("cautionary", "yes")
	}
	return e
}

// timeModification is the source's where its tuplet is still the same.
func (w *measureWriter) timeModification(ev *notation.Event, n *score.Note) *etree.Element {
	if was := w.child(n, "time-modification"); was != nil && n.Ratio == ev.Ratio {
		return was.Copy()
	}
	t := etree.NewElement("time-modification")
	t.CreateElement("actual-notes").SetText(strconv.Itoa(ev.Ratio.Actual))
	t.CreateElement("normal-notes").SetText(strconv.Itoa(ev.Ratio.Normal))
	return t
}

func (w *measureWriter) grace(n *score.Note) *etree.Element {
	was := w.child(n, "grace")
	if was == nil {
		return etree.NewElement("grace")
	}
	g := was.Copy()
	if t := g.SelectAttr("make-time"); t != nil {
		t.Value = w.recount(n.Source, "make-time", t.Value)
	}
	return g
}

func (w *measureWriter) pitch(n *score.Note) *etree.Element {
	if n.Kind == score.Unpitched {
		if was := w.child(n, "unpitched"); was != nil {
			return was.Copy()
		}
		return etree.NewElement("unpitched")
	}
	p := etree.NewElement("pitch")
	p.CreateElement("step").SetText(n.Pitch.Step.String())
	if a := n.Pitch.Alter; a != 0 {
		p.CreateElement("alter").SetText(alterText(a))
	}
	p.CreateElement("octave").SetText(strconv.Itoa(int(n.Pitch.Octave)))
	return p
}

// words adds the lyrics of a note and what follows them.
func (w *measureWriter) words(e *etree.Element, n *notation.Note) {
	if n.First {
		w.lyrics(e, n.Note)
		w.copyMarks(e, n.Note, "play", "listen")
	}
}

// copyMarks copies signs that are children of the note itself.
func (w *measureWriter) copyMarks(e *etree.Element, n *score.Note, names ...string) {
	if len(n.Marks) == 0 {
		return
	}
	for _, name := range names {
		for _, m := range n.Marks {
			if m.Group == "note" && m.Name == name && m.Source != 0 {
				e.AddChild(w.doc.copied(m.Source))
			}
		}
	}
}

func (w *measureWriter) lyrics(e *etree.Element, n *score.Note) {
	for _, l := range n.Lyrics {
		c := w.doc.copied(l.Source)
		if c == nil {
			continue
		}
		if l.TimeOnly == "" {
			c.RemoveAttr("time-only") // written out
		}
		if l.Above {
			c.CreateAttr("placement", "above")
		}
		e.AddChild(c)
	}
}
