package musicxml

import (
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// direction writes a direction from its signs: those read are copied, those a
// pass made are built. It writes nothing where nothing is left to be said.
func (w *measureWriter) direction(d *score.Direction) {
	sound := w.sound(d)
	if len(d.Signs) == 0 {
		w.copy(sound, false)
		return
	}
	w.start("direction")
	if d.Placement != "" {
		w.attr("placement", d.Placement)
	}
	if was := w.doc.element(d.Source); was != nil {
		for _, key := range []string{"directive", "system"} {
			if value := attr(was, key); value != "" {
				w.attr(key, value)
			}
		}
	}
	for i := range d.Signs {
		w.start("direction-type")
		w.sign(&d.Signs[i], d.Sound.Tempo)
		w.end()
	}
	w.copyChildren(d.Source, "footnote", "level")
	if d.Voice > 0 {
		w.number("voice", int64(d.Voice))
	}
	if w.part.Staves > 1 {
		w.number("staff", int64(max(d.Staff, 1)))
	}
	w.copy(sound, false)
	w.copyChildren(d.Source, "listening")
	w.end()
}

// copyChildren copies children of what has been read, without their offset:
// everything stands at its own moment.
func (w *measureWriter) copyChildren(source score.Source, tags ...string) {
	if source == 0 {
		return
	}
	for _, tag := range tags {
		for _, c := range w.doc.element(source).SelectElements(tag) {
			c = c.Copy()
			remove(c, "offset")
			w.copy(c, false)
		}
	}
}

// sign writes one sign of a direction, at which this tempo begins.
func (w *measureWriter) sign(s *score.Sign, tempo float64) {
	number := ""
	was := w.doc.element(s.Source)
	if s.Number > 1 || was != nil && was.SelectAttr("number") != nil {
		number = strconv.Itoa(s.Number)
	}
	if w.sameSign(s) {
		w.copyNumbered(was, number)
		return
	}
	w.start(s.Name)
	if s.Type != "" {
		w.attr("type", s.Type)
	}
	if number != "" {
		w.attr("number", number)
	}
	if s.Name == "octave-shift" && s.Size > 0 {
		w.attr("size", strconv.Itoa(s.Size))
	}
	if s.Name == "dynamics" {
		w.dynamics(s.Text)
		return
	}
	if s.Name == "metronome" && s.Text != "" {
		w.metronome(s.Text, tempo)
		return
	}
	w.endLeaf(s.Text)
}

// metronome writes what is in a metronome mark of the plain form, and its end: how
// many of a note, "quarter" or dotted "quarter.", there are in a minute.
func (w *measureWriter) metronome(unit string, tempo float64) {
	name := strings.TrimRight(unit, ".")
	quarters := notation.Value(name)
	w.leaf("beat-unit", name)
	for add := quarters; len(name) < len(unit); unit = unit[:len(unit)-1] {
		add = add.Mul(1, 2)
		quarters = quarters.Add(add)
		w.leaf("beat-unit-dot", "")
	}
	w.leaf("per-minute", strconv.FormatFloat(tempo/quarters.Quarters(), 'f', -1, 64))
	w.end()
}

// dynamics writes what is in a dynamic mark, and its end: letters that have
// an element of their own by that, all others as text.
func (w *measureWriter) dynamics(letters string) {
	if dynamicMarks[letters] {
		w.leaf(letters, "")
	} else {
		w.leaf("other-dynamics", letters)
	}
	w.end()
}

// dynamicMarks are the dynamic marks of MusicXML 4.0.
var dynamicMarks = map[string]bool{
	"p": true, "pp": true, "ppp": true, "pppp": true, "ppppp": true, "pppppp": true,
	"f": true, "ff": true, "fff": true, "ffff": true, "fffff": true, "ffffff": true,
	"mp": true, "mf": true, "sf": true, "sfp": true, "sfpp": true, "fp": true, "rf": true, "rfz": true,
	"sfz": true, "sffz": true, "fz": true, "n": true, "pf": true, "sfzp": true,
}

// sound builds the meaning of d to the ear, or nil where it has none: what the
// model knows, with how eighths swing. What else the source's sound element
// says is of an instrument and its pedals: it is left to parts that were read.
func (w *measureWriter) sound(d *score.Direction) *etree.Element {
	e := etree.NewElement("sound")
	s := d.Sound
	set := func(key, value string) {
		if value != "" {
			e.CreateAttr(key, value)
		}
	}
	yes := func(key string, is bool) {
		if is {
			e.CreateAttr(key, "yes")
		}
	}
	if s.Tempo > 0 {
		set("tempo", strconv.FormatFloat(s.Tempo, 'f', -1, 64))
	}
	if s.Dynamics > 0 {
		set("dynamics", strconv.FormatFloat(s.Dynamics, 'f', -1, 64))
	}
	yes("dacapo", s.DaCapo)
	set("segno", s.Segno)
	set("dalsegno", s.DalSegno)
	set("coda", s.Coda)
	set("tocoda", s.ToCoda)
	yes("fine", s.Fine)
	yes("forward-repeat", s.ForwardStart)
	set("time-only", s.TimeOnly)
	w.keepSound(e, d.Source)
	if len(e.Attr)+len(e.Child) == 0 {
		return nil
	}
	return e
}

// soundAttributes are those that the model knows, or a pass may have changed.
var soundAttributes = map[string]bool{
	"tempo": true, "dynamics": true, "dacapo": true, "segno": true, "dalsegno": true, "coda": true, "tocoda": true,
	"fine": true, "forward-repeat": true, "time-only": true, "divisions": true, "id": true,
}

// keepSound adds to a sound what the source's says beyond the model.
func (w *measureWriter) keepSound(e *etree.Element, source score.Source) {
	if source == 0 {
		return
	}
	was := w.doc.element(source)
	if was.Tag != "sound" {
		if was = child(was, "sound"); was == nil {
			return
		}
	}
	for _, a := range was.Attr {
		if w.part.Source != 0 && !soundAttributes[a.FullKey()] {
			e.CreateAttr(a.FullKey(), a.Value)
		}
	}
	for _, c := range was.ChildElements() {
		if c.Tag == "swing" || w.part.Source != 0 && c.Tag != "offset" {
			e.AddChild(c.Copy())
		}
	}
}

// harmony builds a chord symbol: the source's, with root and bass as the model
// has them now, where all else is still the same.
func (w *measureWriter) harmony(c *score.ChordSymbol) *etree.Element {
	if !w.sameHarmony(c) {
		return w.onStaff(madeHarmony(c), c)
	}
	e := w.doc.unplaced(c.Source)
	if root := child(e, "root"); root != nil && c.HasRoot {
		setTone(root, "root", c.Root)
	}
	if bass := child(e, "bass"); bass != nil && c.HasBass {
		setTone(bass, "bass", c.Bass)
	}
	remove(e, "offset", "staff")
	return w.onStaff(e, c)
}

func (w *measureWriter) onStaff(harmony *etree.Element, c *score.ChordSymbol) *etree.Element {
	if w.part.Staves > 1 {
		harmony.CreateElement("staff").SetText(strconv.Itoa(max(c.Staff, 1)))
	}
	return harmony
}

// madeHarmony is a chord symbol that has not been read, in the order of the
// schema. "No chord" has a root that is not shown.
func madeHarmony(c *score.ChordSymbol) *etree.Element {
	e := etree.NewElement("harmony")
	switch {
	case c.HasRoot:
		setTone(e.CreateElement("root"), "root", c.Root)
	case c.Numeral.Degree > 0:
		addNumeral(e, c.Numeral)
	default:
		step := e.CreateElement("root").CreateElement("root-step")
		step.CreateAttr("text", "")
		step.SetText("C")
	}
	kind := e.CreateElement("kind")
	if c.Text != "" {
		kind.CreateAttr("text", c.Text)
	}
	kind.SetText(c.Kind)
	if c.Inversion > 0 {
		e.CreateElement("inversion").SetText(strconv.Itoa(c.Inversion))
	}
	if c.HasBass {
		setTone(e.CreateElement("bass"), "bass", c.Bass)
	}
	for _, d := range c.Degrees {
		degree := e.CreateElement("degree")
		degree.CreateElement("degree-value").SetText(strconv.Itoa(d.Value))
		degree.CreateElement("degree-alter").SetText(alterText(d.Alter))
		degree.CreateElement("degree-type").SetText(d.Type)
	}
	return e
}

func addNumeral(harmony *etree.Element, n score.Numeral) {
	e := harmony.CreateElement("numeral")
	e.CreateElement("numeral-root").SetText(strconv.Itoa(n.Degree))
	if n.Alter != 0 {
		e.CreateElement("numeral-alter").SetText(alterText(n.Alter))
	}
	if n.HasKey {
		key := e.CreateElement("numeral-key")
		key.CreateElement("numeral-fifths").SetText(strconv.Itoa(n.Key.Fifths))
		key.CreateElement("numeral-mode").SetText(n.Key.Mode)
	}
}

// setTone writes a root or bass, and leaves one that is right already as it
// stands.
func setTone(e *etree.Element, what string, p score.Pitch) {
	step, a := text(e, what+"-step"), text(e, what+"-alter")
	if was, ok := alter(a); ok && step == p.Step.String() && was == p.Alter {
		return
	}
	e.Child, e.Attr = nil, nil
	e.CreateElement(what + "-step").SetText(p.Step.String())
	if p.Alter != 0 {
		e.CreateElement(what + "-alter").SetText(alterText(p.Alter))
	}
}
