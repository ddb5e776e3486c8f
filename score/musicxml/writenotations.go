package musicxml

import (
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// tie adds the ends of ties as they sound.
func tie(e *etree.Element, n *notation.Note) {
	if n.TieStop {
		e.CreateElement("tie").CreateAttr("type", "stop")
	}
	if n.TieStart {
		e.CreateElement("tie").CreateAttr("type", "start")
	}
}

// notations adds the signs of a note or rest, with the tuplet brackets where
// it is the first of its chord.
func (w *measureWriter) notations(e *etree.Element, ev *notation.Event, n *notation.Note, first bool) {
	all := etree.NewElement("notations")
	if n.TieStop {
		w.tied(all, n.Note, "stop", n.First)
	}
	if n.TieStart {
		w.tied(all, n.Note, "start", n.Last)
	}
	if first {
		w.tuplets(all, ev, n.Note)
	}
	w.marks(all, n)
	if len(all.Child) > 0 {
		e.AddChild(all)
	}
}

// tied adds the sign of one end of a tie: the source's, where that end is.
func (w *measureWriter) tied(notations *etree.Element, n *score.Note, kind string, own bool) {
	if was := w.child(n, "notations"); was != nil && own {
		for _, t := range was.SelectElements("tied") {
			if attr(t, "type") == kind {
				c := t.Copy()
				unplace(c)
				notations.AddChild(c)
				return
			}
		}
	}
	notations.CreateElement("tied").CreateAttr("type", kind)
}

// tuplets adds the ends of brackets: number 1 is the outer one, number 2 the
// one inside. What starts looks as in the source where it starts there too.
func (w *measureWriter) tuplets(notations *etree.Element, ev *notation.Event, n *score.Note) {
	end := func(here bool, kind string, number int) *etree.Element {
		if !here {
			return nil
		}
		t := notations.CreateElement("tuplet")
		t.CreateAttr("type", kind)
		t.CreateAttr("number", strconv.Itoa(number))
		return t
	}
	end(ev.InnerStop, "stop", 2)
	end(ev.TupletStop, "stop", 1)
	var starts []*etree.Element
	if t := end(ev.TupletStart, "start", 1); t != nil {
		starts = append(starts, t)
		if ev.Outer != (score.Ratio{}) {
			declare(t, ev.Outer)
		}
	}
	if t := end(ev.InnerStart, "start", 2); t != nil {
		starts = append(starts, t)
		declare(t, score.Ratio{Actual: ev.Ratio.Actual / ev.Outer.Actual, Normal: ev.Ratio.Normal / ev.Outer.Normal})
	}
	if n.Ratio == ev.Ratio && n.Outer == ev.Outer {
		w.dressTuplets(starts, n)
	}
}

// declare says in a bracket how many notes stand for how many: where tuplets
// are nested the time modification is that of all together.
func declare(tuplet *etree.Element, r score.Ratio) {
	tuplet.CreateElement("tuplet-actual").CreateElement("tuplet-number").SetText(strconv.Itoa(r.Actual))
	tuplet.CreateElement("tuplet-normal").CreateElement("tuplet-number").SetText(strconv.Itoa(r.Normal))
}

// dressTuplets gives the brackets that start at n the looks of those that
// start there in the source, if there are as many.
func (w *measureWriter) dressTuplets(starts []*etree.Element, n *score.Note) {
	if len(starts) == 0 || n.Source == 0 {
		return
	}
	var were []*etree.Element
	for _, all := range w.doc.element(n.Source).SelectElements("notations") {
		for _, t := range all.SelectElements("tuplet") {
			if attr(t, "type") == "start" {
				were = append(were, t)
			}
		}
	}
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
