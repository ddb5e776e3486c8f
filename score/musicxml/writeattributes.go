package musicxml

import (
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
)

// attributesAt writes the signatures, clefs and transpositions that begin at
// onset, and the divisions where they change; nothing where there are none.
// The order is the schema's.
func (w *measureWriter) attributesAt(onset score.Time, first bool, divisions score.Time) {
	here := w.changes[onset]
	if here == nil {
		here = &changes{}
	}
	w.start("attributes")
	w.carried(here, "footnote", "level")
	if w.divisions != divisions {
		w.divisions = divisions
		w.leaf("divisions", decimalText(divisions))
	}
	for _, k := range here.keys {
		w.change(k.Source, k.Staff, w.sameKey(k), func() *etree.Element { return keyElement(k.Key) })
	}
	for _, t := range here.times {
		w.change(t.Source, t.Staff, w.sameTime(t), func() *etree.Element { return timeElement(t.Time) })
	}
	if first && w.part.Staves > 1 {
		w.number("staves", int64(w.part.Staves))
	}
	w.carried(here, "part-symbol", "instruments")
	for _, c := range here.clefs {
		w.change(c.Source, c.Staff, w.sameClef(c), func() *etree.Element { return clefElement(c.Clef) })
	}
	w.carried(here, "staff-details")
	for _, t := range here.transposes {
		w.change(t.Source, t.Staff, w.sameTransposition(t), func() *etree.Element { return transposeElement(t.Transposition) })
	}
	w.carried(here, "for-part", "directive", "measure-style")
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

// changes are what attributes say at one moment.
type changes struct {
	keys       []score.KeyChange
	times      []score.TimeChange
	clefs      []score.ClefChange
	transposes []score.TransposeChange
	others     []score.Other
}

// changesOf are the changes of a measure by their moment.
func changesOf(m *score.Measure) map[score.Time]*changes {
	all := map[score.Time]*changes{}
	at := func(onset score.Time) *changes {
		if all[onset] == nil {
			all[onset] = &changes{}
		}
		return all[onset]
	}
	for _, k := range m.Keys {
		at(k.Onset).keys = append(at(k.Onset).keys, k)
	}
	for _, t := range m.Times {
		at(t.Onset).times = append(at(t.Onset).times, t)
	}
	for _, c := range m.Clefs {
		at(c.Onset).clefs = append(at(c.Onset).clefs, c)
	}
	for _, t := range m.Transposes {
		at(t.Onset).transposes = append(at(t.Onset).transposes, t)
	}
	for _, o := range m.Others {
		if inAttributes[o.Name] {
			at(o.Onset).others = append(at(o.Onset).others, o)
		}
	}
	return all
}

// inAttributes are the carried things that are children of attributes.
var inAttributes = map[string]bool{
	"footnote": true, "level": true, "part-symbol": true, "instruments": true, "staff-details": true,
	"for-part": true, "directive": true, "measure-style": true,
}

// carried writes what the model only carries, of these names.
func (w *measureWriter) carried(here *changes, names ...string) {
	for _, name := range names {
		for _, o := range here.others {
			if o.Name == name {
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
