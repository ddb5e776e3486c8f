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
		w.rest(v, ev)
	}
	for i := range ev.Notes {
		w.note(v, ev, i)
	}
	w.at = w.at.Add(ev.Length)
}

func (w *measureWriter) note(v *notation.Voice, ev *notation.Event, i int) {
	n := &ev.Notes[i]
	was := w.readNote(n.Note)
	w.startNote(n, was)
	if n.Note.Grace {
		w.grace(n.Note, was)
	}
	if n.Note.Cue {
		w.leaf("cue", "")
	}
	if i > 0 {
		w.leaf("chord", "")
	}
	w.pitch(n.Note, was)
	if !n.Note.Grace {
		w.number("duration", w.count(ev.Length))
	}
	if !n.Note.Cue {
		w.ties(n)
	}
	w.instruments(was)
	w.written(v, ev, n, was, n.Note.Staff)
	if i == 0 {
		w.beams(ev.Beams, was)
	}
	w.notations(ev, n, was, i == 0)
	w.words(n)
	w.end()
}

// rest writes a rest: one of the score, or what fills a gap.
func (w *measureWriter) rest(v *notation.Voice, ev *notation.Event) {
	n := &notation.Note{Note: &score.Note{Hidden: ev.Hidden}, First: true, Last: true}
	if ev.Rest != nil {
		n.Note = ev.Rest
	}
	was := w.readNote(n.Note)
	w.startNote(n, was)
	if n.Note.Cue {
		w.leaf("cue", "")
	}
	w.start("rest")
	if ev.MeasureRest {
		w.attr("measure", "yes")
	}
	if r := child(was, "rest"); r != nil { // where it stands on the staff
		for _, c := range r.ChildElements() {
			w.copy(c, false)
		}
	}
	w.end()
	w.number("duration", w.count(ev.Length))
	w.written(v, ev, n, was, ev.Staff)
	w.notations(ev, n, was, true)
	w.words(n)
	w.end()
}

// readNote is the element that n was read from, nil for one that a pass made.
func (w *measureWriter) readNote(n *score.Note) *etree.Element { return w.doc.element(n.Source) }

// What the ids of notes of the melody, and of a line that leads while it rests, begin
// with; a number follows.
const (
	melodyID    = "melody-"
	interludeID = "interlude-"
)

// startNote begins the element of a note.
func (w *measureWriter) startNote(n *notation.Note, was *etree.Element) {
	w.start("note")
	if n.First && n.Note.Leads() {
		beginning := melodyID
		if !n.Note.Melody {
			beginning = interludeID
		}
		w.named++
		w.attr("id", beginning+strconv.Itoa(w.named))
	}
	if n.Note.Hidden {
		w.attr("print-object", "no")
	}
	if n.Note.TimeOnly != "" {
		w.attr("time-only", n.Note.TimeOnly)
	}
	if w.part.Source != 0 && was != nil && len(was.Attr) > 0 {
		w.ownAttributes(n, was)
	}
}

// ownAttributes copies what a note of a part that was read says of its looks
// and its sound; in a part that a pass made both are new.
func (w *measureWriter) ownAttributes(n *notation.Note, was *etree.Element) {
	for _, a := range was.Attr {
		key := a.FullKey()
		switch {
		case key == "print-object" || key == "time-only" || layoutAttributes[key]:
		case key == "attack" && !n.First || key == "release" && !n.Last:
		case key == "attack" || key == "release":
			w.attr(key, w.recount(n.Note.Source, key, a.Value))
		default:
			w.attr(key, a.Value)
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

// instruments names the players of a note, in a part that was read.
func (w *measureWriter) instruments(was *etree.Element) {
	if w.part.Source == 0 || was == nil {
		return
	}
	for _, t := range was.Child {
		if i, ok := t.(*etree.Element); ok && i.Tag == "instrument" {
			w.copy(i, false)
		}
	}
}

// written writes voice, type, dots, accidental, time modification, stem and
// staff, in the order of the schema.
func (w *measureWriter) written(v *notation.Voice, ev *notation.Event, n *notation.Note, was *etree.Element, staff int) {
	if n.First {
		w.copyMarks(n.Note, "footnote", "level")
	}
	w.number("voice", int64(v.Number))
	if ev.Type != "" {
		w.start("type")
		if t := child(was, "type"); t != nil && len(t.Attr) > 0 && attr(t, "size") != "" {
			w.attr("size", attr(t, "size"))
		}
		w.endLeaf(ev.Type)
		for range ev.Dots {
			w.leaf("dot", "")
		}
	}
	if n.Accidental != "" {
		w.accidental(n, was)
	}
	if ev.Ratio != (score.Ratio{}) {
		w.timeModification(ev, n.Note, was)
	}
	if s := stemNames[ev.Stem]; s != "" && n.Note.Kind != score.Rest {
		w.leaf("stem", s)
	}
	w.copyMarks(n.Note, "notehead", "notehead-text")
	if w.part.Staves > 1 {
		w.number("staff", int64(staff))
	}
}

var stemNames = [...]string{
	score.StemUp: "up", score.StemDown: "down", score.StemNone: "none", score.StemDouble: "double",
}

// accidental writes the source's, with its brackets, where it shows the same or
// the pitch is still the same: several signs may stand for one.
func (w *measureWriter) accidental(n *notation.Note, was *etree.Element) {
	a := child(was, "accidental")
	if a != nil && (content(a) == n.Accidental || content(a) != "" && samePitch(n.Note, child(was, "pitch"))) {
		w.copy(a, true)
		return
	}
	w.start("accidental")
	if n.Cautionary {
		w.attr("cautionary", "yes")
	}
	w.endLeaf(n.Accidental)
}

// timeModification writes the source's where its tuplet is still the same.
func (w *measureWriter) timeModification(ev *notation.Event, n *score.Note, was *etree.Element) {
	if t := child(was, "time-modification"); t != nil && n.Ratio == ev.Ratio {
		w.copy(t, false)
		return
	}
	w.start("time-modification")
	w.number("actual-notes", int64(ev.Ratio.Actual))
	w.number("normal-notes", int64(ev.Ratio.Normal))
	w.end()
}

func (w *measureWriter) grace(n *score.Note, was *etree.Element) {
	w.start("grace")
	if g := child(was, "grace"); g != nil {
		for _, a := range g.Attr {
			if a.Key == "make-time" {
				a.Value = w.recount(n.Source, "make-time", a.Value)
			}
			w.attr(a.FullKey(), a.Value)
		}
	}
	w.end()
}

func (w *measureWriter) pitch(n *score.Note, was *etree.Element) {
	if n.Kind == score.Unpitched {
		if u := child(was, "unpitched"); u != nil {
			w.copy(u, false)
			return
		}
		w.leaf("unpitched", "")
		return
	}
	w.start("pitch")
	w.leaf("step", n.Pitch.Step.String())
	old := child(was, "pitch")
	if text := text(old, "alter"); text != "" && samePitch(n, old) {
		w.leaf("alter", text) // which may be finer than a cent
	} else if a := n.Pitch.Alter; a != 0 {
		w.leaf("alter", alterText(a))
	}
	w.number("octave", int64(n.Pitch.Octave))
	w.end()
}

// samePitch tells whether n is still as sharp or flat as it was read, on the
// same step.
func samePitch(n *score.Note, was *etree.Element) bool {
	if was == nil {
		return false
	}
	a, ok := alter(text(was, "alter"))
	return ok && a == n.Pitch.Alter && text(was, "step") == n.Pitch.Step.String()
}

// beams writes the beams of a chord. One that grows faster or slower in the
// source goes on doing so.
func (w *measureWriter) beams(signs []string, was *etree.Element) {
	for level, b := range signs {
		w.start("beam")
		w.attr("number", strconv.Itoa(level+1))
		if b == "begin" {
			if old := child(was, "beam"); old != nil && attr(old, "fan") != "" {
				w.attr("fan", attr(old, "fan"))
			}
		}
		w.endLeaf(b)
	}
}

// words writes the lyrics of a note and what follows them.
func (w *measureWriter) words(n *notation.Note) {
	if n.First {
		w.lyrics(n.Note)
		w.copyMarks(n.Note, "play", "listen")
	}
}

// copyMarks copies signs that are children of the note itself.
func (w *measureWriter) copyMarks(n *score.Note, names ...string) {
	if len(n.Marks) == 0 {
		return
	}
	for _, name := range names {
		for _, m := range n.Marks {
			if m.Group == "note" && m.Name == name && m.Source != 0 {
				w.copy(w.doc.element(m.Source), true)
			}
		}
	}
}

func (w *measureWriter) lyrics(n *score.Note) {
	for _, l := range n.Lyrics {
		c := madeLyric(l)
		if w.sameLyric(l) {
			c = w.doc.unplaced(l.Source)
			if c.SelectAttrValue("number", "1") != l.Verse {
				c.CreateAttr("number", l.Verse)
			}
		}
		if c.RemoveAttr("time-only"); l.TimeOnly != "" { // else it may be written out
			c.CreateAttr("time-only", l.TimeOnly)
		}
		if l.Above {
			c.CreateAttr("placement", "above")
		}
		w.copy(c, false)
	}
}

// madeLyric is a syllable that has not been read.
func madeLyric(l score.Lyric) *etree.Element {
	e := etree.NewElement("lyric")
	if l.Verse != "" {
		e.CreateAttr("number", l.Verse)
	}
	if l.Text != "" || !l.Extend {
		if l.Syllabic != "" {
			e.CreateElement("syllabic").SetText(l.Syllabic)
		}
		e.CreateElement("text").SetText(l.Text)
	}
	if l.Extend {
		e.CreateElement("extend")
	}
	return e
}
