package musicxml

import (
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
)

// direction builds a direction from its signs: those read are copied, those a
// pass made are built.
func (w *measureWriter) direction(d *score.Direction, offset score.Time) *etree.Element {
	if !d.Printed {
		s := w.sound(d)
		w.addOffset(s, offset)
		return s
	}
	e := etree.NewElement("direction")
	placement := "below"
	if d.Above {
		placement = "above"
	}
	e.CreateAttr("placement", placement)
	for i := range d.Signs {
		e.CreateElement("direction-type").AddChild(w.sign(&d.Signs[i]))
	}
	w.addOffset(e, offset)
	if d.Voice > 0 {
		e.CreateElement("voice").SetText(strconv.Itoa(d.Voice))
	}
	if w.part.Staves > 1 {
		e.CreateElement("staff").SetText(strconv.Itoa(max(d.Staff, 1)))
	}
	if d.Sound != (score.Sound{}) {
		e.AddChild(w.sound(d))
	}
	return e
}

func (w *measureWriter) addOffset(e *etree.Element, offset score.Time) {
	if offset.Sign() != 0 {
		e.CreateElement("offset").SetText(w.count(offset))
	}
}

func (w *measureWriter) sign(s *score.Sign) *etree.Element {
	e := w.doc.copied(s.Source)
	if e == nil {
		e = etree.NewElement(s.Name)
		switch {
		case s.Name == "dynamics":
			e.CreateElement(s.Text)
		case s.Text != "":
			e.SetText(s.Text)
		}
		if s.Type != "" {
			e.CreateAttr("type", s.Type)
		}
	}
	if e.SelectAttr("number") != nil || s.Number > 1 {
		e.RemoveAttr("number")
		e.CreateAttr("number", strconv.Itoa(s.Number))
	}
	return e
}

// sound builds the meaning of d to the ear, as far as the model knows it:
// what the source's sound element says of pedals and volume is another
// instrument's.
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
	yes("dacapo", s.DaCapo)
	set("segno", s.Segno)
	set("dalsegno", s.DalSegno)
	set("coda", s.Coda)
	set("tocoda", s.ToCoda)
	yes("fine", s.Fine)
	yes("forward-repeat", s.ForwardStart)
	set("time-only", s.TimeOnly)
	return e
}

func (w *measureWriter) harmony(c *score.ChordSymbol, offset score.Time) *etree.Element {
	e := w.doc.copied(c.Source)
	for _, tag := range []string{"offset", "staff"} {
		if old := e.SelectElement(tag); old != nil {
			e.RemoveChild(old)
		}
	}
	w.addOffset(e, offset)
	if w.part.Staves > 1 {
		e.CreateElement("staff").SetText(strconv.Itoa(max(c.Staff, 1)))
	}
	return e
}
