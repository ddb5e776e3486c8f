package musicxml

import (
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// ties writes the ends of ties as they sound.
func (w *measureWriter) ties(n *notation.Note) {
	if n.TieStop {
		w.ofType("tie", "stop")
	}
	if n.TieStart {
		w.ofType("tie", "start")
	}
}

// ofType writes an element of which only its type is to be said.
func (w *measureWriter) ofType(tag, kind string) {
	w.start(tag)
	w.attr("type", kind)
	w.end()
}

// notations writes the signs of a note or rest, with the tuplet brackets where
// it is the first of its chord.
func (w *measureWriter) notations(ev *notation.Event, n *notation.Note, was *etree.Element, first bool) {
	w.start("notations")
	if n.TieStop {
		w.tied(was, "stop", n.First)
	}
	if n.TieStart {
		w.tied(was, "start", n.Last)
	}
	if first {
		w.tuplets(ev, n.Note, was)
	}
	w.marks(n)
	w.endUnlessEmpty()
}

// tied writes the sign of one end of a tie: the source's, where that end is.
func (w *measureWriter) tied(was *etree.Element, kind string, own bool) {
	if own {
		for _, t := range signsOf(was, "tied", kind) {
			w.copy(t, true)
			return
		}
	}
	w.ofType("tied", kind)
}

// signsOf are the notations of a note with this tag and type.
func signsOf(note *etree.Element, tag, kind string) []*etree.Element {
	var all []*etree.Element
	if note == nil {
		return nil
	}
	for _, t := range note.Child {
		notations, ok := t.(*etree.Element)
		if !ok || notations.Tag != "notations" {
			continue
		}
		for _, t := range notations.Child {
			if e, ok := t.(*etree.Element); ok && e.Tag == tag && attr(e, "type") == kind {
				all = append(all, e)
			}
		}
	}
	return all
}

// tuplets writes the ends of brackets: number 1 is the outer one, number 2 the
// one inside. What starts looks as in the source where it starts there too.
func (w *measureWriter) tuplets(ev *notation.Event, n *score.Note, was *etree.Element) {
	end := func(kind string, number int) *etree.Element {
		t := etree.NewElement("tuplet")
		t.CreateAttr("type", kind)
		t.CreateAttr("number", strconv.Itoa(number))
		return t
	}
	var starts []*etree.Element
	if ev.TupletStart {
		t := end("start", 1)
		if ev.Outer != (score.Ratio{}) {
			declare(t, ev.Outer)
		}
		starts = append(starts, t)
	}
	if ev.InnerStart {
		t := end("start", 2)
		declare(t, score.Ratio{Actual: ev.Ratio.Actual / ev.Outer.Actual, Normal: ev.Ratio.Normal / ev.Outer.Normal})
		starts = append(starts, t)
	}
	if len(starts) > 0 && n.Ratio == ev.Ratio && n.Outer == ev.Outer {
		dressTuplets(starts, signsOf(was, "tuplet", "start"))
	}
	if ev.InnerStop {
		w.copy(end("stop", 2), false)
	}
	if ev.TupletStop {
		w.copy(end("stop", 1), false)
	}
	for _, t := range starts {
		w.copy(t, false)
	}
}

// declare says in a bracket how many notes stand for how many: where tuplets
// are nested the time modification is that of all together.
func declare(tuplet *etree.Element, r score.Ratio) {
	tuplet.CreateElement("tuplet-actual").CreateElement("tuplet-number").SetText(strconv.Itoa(r.Actual))
	tuplet.CreateElement("tuplet-normal").CreateElement("tuplet-number").SetText(strconv.Itoa(r.Normal))
}

// dressTuplets gives the brackets that start at a note the looks of those that
// start there in the source, if there are as many.
func dressTuplets(starts, were []*etree.Element) {
	if len(were) != len(starts) {
		return
	}
	for i, t := range starts {
		c := were[i].Copy()
		unplace(c)
		if len(c.ChildElements()) > 0 {
			t.Child = nil
		}
		for _, a := range c.Attr {
			if t.SelectAttr(a.FullKey()) == nil {
				t.CreateAttr(a.FullKey(), a.Value)
			}
		}
		for _, child := range c.ChildElements() {
			t.AddChild(child)
		}
	}
}

// hasNumber are the signs that MusicXML tells apart by a number.
var hasNumber = map[string]bool{
	"slur": true, "glissando": true, "slide": true, "wavy-line": true, "arpeggiate": true, "non-arpeggiate": true,
	"hammer-on": true, "pull-off": true,
}

// marks writes the signs that belong to this piece of a note, those of a group
// together: what ends with the note with its last piece, the others with its
// first.
func (w *measureWriter) marks(n *notation.Note) {
	all := n.Note.Marks
	for i := range all {
		m := &all[i]
		switch {
		case !shownOn(n, m):
		case m.Group == "":
			w.noteSign(m)
		case !slices.ContainsFunc(all[:i], func(o score.Mark) bool { return o.Group == m.Group && shownOn(n, &o) }):
			w.start(m.Group)
			for j := i; j < len(all); j++ {
				if all[j].Group == m.Group && shownOn(n, &all[j]) {
					w.noteSign(&all[j])
				}
			}
			w.end()
		}
	}
}

// shownOn tells whether a mark is among the notations of this piece of its
// note.
func shownOn(n *notation.Note, m *score.Mark) bool {
	if m.Group == "note" {
		return false
	}
	if m.Type == "stop" || m.Name == "fermata" {
		return n.Last
	}
	return n.First
}

// noteSign writes one sign of a note.
func (w *measureWriter) noteSign(m *score.Mark) {
	was := w.doc.element(m.Source)
	if was != nil && attr(was, "type") != m.Type {
		was = nil // changed since
	}
	numbered := hasNumber[m.Name] && (m.Number > 1 || was != nil && was.SelectAttr("number") != nil)
	switch {
	case was != nil && numbered && numberAttr(was) != m.Number:
		w.copyNumbered(was, strconv.Itoa(m.Number))
	case was != nil:
		w.copy(was, true)
	default: // made by a pass
		w.start(m.Name)
		if m.Type != "" {
			w.attr("type", m.Type)
		}
		if numbered {
			w.attr("number", strconv.Itoa(m.Number))
		}
		w.end()
	}
}
