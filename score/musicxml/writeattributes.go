package musicxml

import (
	"slices"
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
)

// attributesAt writes the signatures, clefs and transpositions that begin at
// onset, and the divisions where they change; nothing where there are none.
// The order is the schema's.
func (w *measureWriter) attributesAt(onset score.Time, first bool, divisions score.Time) {
	w.start("attributes")
	w.carried(onset, "footnote", "level")
	if w.divisions != divisions {
		w.divisions = divisions
		w.leaf("divisions", decimalText(divisions))
	}
	for _, k := range w.m.Keys {
		if k.Onset == onset {
			w.change(k.Source, k.Staff, w.sameKey(k), func() *etree.Element { return keyElement(k.Key) })
		}
	}
	for _, t := range w.m.Times {
		if t.Onset == onset {
			w.change(t.Source, t.Staff, w.sameTime(t), func() *etree.Element { return timeElement(t.Time) })
		}
	}
	if first && w.part.Staves > 1 {
		w.number("staves", int64(w.part.Staves))
	}
	w.carried(onset, "part-symbol", "instruments")
	for _, c := range w.m.Clefs {
		if c.Onset == onset {
			w.change(c.Source, c.Staff, w.sameClef(c), func() *etree.Element { return clefElement(c.Clef) })
		}
	}
	w.carried(onset, "staff-details")
	for _, t := range w.m.Transposes {
		if t.Onset == onset {
			w.change(t.Source, t.Staff, w.sameTransposition(t), func() *etree.Element { return transposeElement(t.Transposition) })
		}
	}
	w.carried(onset, "for-part", "directive", "measure-style")
	w.endUnlessEmpty()
}

// change writes what begins on a staff (0: on all): the source's element where
// it is still the same, else a new one.
func (w *measureWriter) change(source score.Source, staff int, same bool, made func() *etree.Element) {
	e := w.doc.element(source)
	if !same {
		e = made()
	}
	number := ""
	if staff > 0 && w.part.Staves > 1 {
		number = strconv.Itoa(staff)
	}
	w.copyNumbered(e, number)
}

// changes are the moments inside the measure at which signatures change.
func changes(m *score.Measure) []score.Time {
	var at []score.Time
	add := func(t score.Time) {
		if t.Sign() > 0 && !slices.Contains(at, t) {
			at = append(at, t)
		}
	}
	for _, k := range m.Keys {
		add(k.Onset)
	}
	for _, t := range m.Times {
		add(t.Onset)
	}
	for _, c := range m.Clefs {
		add(c.Onset)
	}
	for _, t := range m.Transposes {
		add(t.Onset)
	}
	for _, o := range m.Others {
		if inAttributes[o.Name] {
			add(o.Onset)
		}
	}
	return at
}

// inAttributes are the carried things that are children of attributes.
var inAttributes = map[string]bool{
	"footnote": true, "level": true, "part-symbol": true, "instruments": true, "staff-details": true,
	"for-part": true, "directive": true, "measure-style": true,
}

// carried writes what the model only carries, of these names, at onset.
func (w *measureWriter) carried(onset score.Time, names ...string) {
	if len(w.m.Others) == 0 {
		return
	}
	for _, name := range names {
		for _, o := range w.m.Others {
			if o.Name == name && o.Onset == onset {
				w.copy(w.doc.element(o.Source), false)
			}
		}
	}
}

func keyElement(k score.KeySignature) *etree.Element {
	e := etree.NewElement("key")
	if k.Free {
		for step, a := range k.Alters {
			if a != 0 {
				e.CreateElement("key-step").SetText(score.Step(step).String())
				e.CreateElement("key-alter").SetText(alterText(a))
			}
		}
		return e
	}
	e.CreateElement("fifths").SetText(strconv.Itoa(k.Fifths))
	if k.Mode != "" {
		e.CreateElement("mode").SetText(k.Mode)
	}
	return e
}

func timeElement(t score.TimeSignature) *etree.Element {
	e := etree.NewElement("time")
	if len(t.Groups) == 0 {
		e.CreateElement("senza-misura")
	}
	for _, g := range t.Groups {
		sum := ""
		for i, b := range g.Beats {
			if i > 0 {
				sum += "+"
			}
			sum += strconv.Itoa(b)
		}
		e.CreateElement("beats").SetText(sum)
		e.CreateElement("beat-type").SetText(strconv.Itoa(g.Unit))
	}
	return e
}

func clefElement(c score.Clef) *etree.Element {
	e := etree.NewElement("clef")
	e.CreateElement("sign").SetText(c.Sign)
	if c.Line > 0 {
		e.CreateElement("line").SetText(strconv.Itoa(c.Line))
	}
	if c.OctaveChange != 0 {
		e.CreateElement("clef-octave-change").SetText(strconv.Itoa(c.OctaveChange))
	}
	return e
}

func transposeElement(t score.Transposition) *etree.Element {
	e := etree.NewElement("transpose")
	octaves := t.Letters / 7
	e.CreateElement("diatonic").SetText(strconv.Itoa(t.Letters - 7*octaves))
	e.CreateElement("chromatic").SetText(strconv.Itoa(t.Semitones - 12*octaves))
	if octaves != 0 {
		e.CreateElement("octave-change").SetText(strconv.Itoa(octaves))
	}
	return e
}
