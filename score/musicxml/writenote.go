package musicxml

import (
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// event writes a chord or a rest.
func (w *measureWriter) event(v *notation.Voice, ev *notation.Event) {
	if len(ev.Notes) == 0 {
		e := w.newNote(v, ev, ev.Staff)
		if ev.Rest != nil && ev.Rest.Hidden {
			e.CreateAttr("print-object", "no")
		}
		rest := etree.NewElement("rest")
		if ev.MeasureRest {
			rest.CreateAttr("measure", "yes")
		}
		e.InsertChildAt(0, rest)
		w.notations(e, ev, nil)
	}
	for i := range ev.Notes {
		w.note(v, ev, i)
	}
	w.at = w.at.Add(ev.Length)
}

func (w *measureWriter) note(v *notation.Voice, ev *notation.Event, i int) {
	n := &ev.Notes[i]
	e := etree.NewElement("note")
	w.e.AddChild(e)
	if n.Note.Hidden {
		e.CreateAttr("print-object", "no")
	}
	if n.Note.TimeOnly != "" {
		e.CreateAttr("time-only", n.Note.TimeOnly)
	}
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
		tie(e, "tie", n)
	}
	w.instrument(e, n.Note)
	w.written(e, v, ev, n.Note.Staff, n)
	if i == 0 {
		for level, b := range ev.Beams {
			beam := e.CreateElement("beam")
			beam.CreateAttr("number", strconv.Itoa(level+1))
			beam.SetText(b)
		}
	}
	w.notations(e, ev, n)
	if n.First {
		w.lyrics(e, n.Note)
		w.copyMarks(e, n.Note, "play", "listen")
	}
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

// newNote begins the element of a rest.
func (w *measureWriter) newNote(v *notation.Voice, ev *notation.Event, staff int) *etree.Element {
	e := w.e.CreateElement("note")
	e.CreateElement("duration").SetText(w.count(ev.Length))
	w.written(e, v, ev, staff, nil)
	return e
}

// written adds voice, type, dots, accidental, time modification, stem and
// staff, in the order of the schema.
func (w *measureWriter) written(e *etree.Element, v *notation.Voice, ev *notation.Event, staff int, n *notation.Note) {
	e.CreateElement("voice").SetText(strconv.Itoa(v.Number))
	if ev.Type != "" {
		e.CreateElement("type").SetText(ev.Type)
		for range ev.Dots {
			e.CreateElement("dot")
		}
	}
	if n != nil && n.Accidental != "" {
		a := e.CreateElement("accidental")
		a.SetText(n.Accidental)
		if n.Cautionary {
			a.CreateAttr("cautionary", "yes")
		}
	}
	if ev.Ratio != (score.Ratio{}) {
		t := e.CreateElement("time-modification")
		t.CreateElement("actual-notes").SetText(strconv.Itoa(ev.Ratio.Actual))
		t.CreateElement("normal-notes").SetText(strconv.Itoa(ev.Ratio.Normal))
	}
	if s := stemNames[ev.Stem]; s != "" && n != nil {
		e.CreateElement("stem").SetText(s)
	}
	if n != nil {
		w.copyMarks(e, n.Note, "notehead", "notehead-text")
	}
	if w.part.Staves > 1 {
		e.CreateElement("staff").SetText(strconv.Itoa(staff))
	}
}

var stemNames = map[score.Stem]string{score.StemUp: "up", score.StemDown: "down", score.StemNone: "none"}

func (w *measureWriter) grace(n *score.Note) *etree.Element {
	g := etree.NewElement("grace")
	if n.Source != 0 {
		if e := w.doc.element(n.Source).SelectElement("grace"); e != nil {
			g = e.Copy()
		}
	}
	return g
}

func (w *measureWriter) pitch(n *score.Note) *etree.Element {
	if n.Kind == score.Unpitched {
		if n.Source != 0 {
			if e := w.doc.element(n.Source).SelectElement("unpitched"); e != nil {
				return e.Copy()
			}
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

// tie adds the ends of ties, as sound ("tie") or as sign ("tied").
func tie(e *etree.Element, tag string, n *notation.Note) {
	if n.TieStop {
		e.CreateElement(tag).CreateAttr("type", "stop")
	}
	if n.TieStart {
		e.CreateElement(tag).CreateAttr("type", "start")
	}
}

// notations adds the signs of a chord member, and the tuplet bracket to the
// first.
func (w *measureWriter) notations(e *etree.Element, ev *notation.Event, n *notation.Note) {
	all := etree.NewElement("notations")
	if n != nil {
		tie(all, "tied", n)
	}
	if n == nil || n == &ev.Notes[0] {
		tuplet(all, ev.TupletStop, "stop")
		tuplet(all, ev.TupletStart, "start")
	}
	if n != nil {
		w.marks(all, n)
	} else if ev.Rest != nil {
		w.marks(all, &notation.Note{Note: ev.Rest, First: true, Last: true})
	}
	if len(all.Child) > 0 {
		e.AddChild(all)
	}
}

func tuplet(notations *etree.Element, here bool, kind string) {
	if here {
		t := notations.CreateElement("tuplet")
		t.CreateAttr("type", kind)
		t.CreateAttr("number", "1")
	}
}

// hasNumber are the signs that MusicXML tells apart by a number.
var hasNumber = map[string]bool{
	"slur": true, "glissando": true, "slide": true, "wavy-line": true, "arpeggiate": true, "non-arpeggiate": true,
	"hammer-on": true, "pull-off": true,
}

// marks adds the signs that belong to this piece of a note: what ends with
// the note to its last piece, the others to its first.
func (w *measureWriter) marks(notations *etree.Element, n *notation.Note) {
	groups := map[string]*etree.Element{}
	for _, m := range n.Note.Marks {
		here := n.First
		if m.Type == "stop" || m.Name == "fermata" {
			here = n.Last
		}
		if !here || m.Group == "note" {
			continue
		}
		e := w.doc.copied(m.Source)
		if e == nil { // made by a pass
			e = etree.NewElement(m.Name)
			if m.Type != "" {
				e.CreateAttr("type", m.Type)
			}
		}
		if hasNumber[m.Name] && (e.SelectAttr("number") != nil || m.Number > 1) {
			e.RemoveAttr("number")
			e.CreateAttr("number", strconv.Itoa(m.Number))
		}
		parent := notations
		if m.Group != "" {
			if parent = groups[m.Group]; parent == nil {
				parent = notations.CreateElement(m.Group)
				groups[m.Group] = parent
			}
		}
		parent.AddChild(e)
	}
}

// copyMarks copies signs that are children of the note itself.
func (w *measureWriter) copyMarks(e *etree.Element, n *score.Note, names ...string) {
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
