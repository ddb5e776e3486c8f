package musicxml

import (
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

func (r *partReader) direction(e *etree.Element) {
	d := score.Direction{
		Onset:     r.offset(e),
		Staff:     r.staff(text(e, "staff")),
		Placement: attr(e, "placement"),
		Source:    r.doc.issue(e),
	}
	if v := child(e, "voice"); v != nil {
		d.Voice = r.voiceNumber(content(v))
	}
	for _, t := range e.SelectElements("direction-type") {
		for _, c := range t.ChildElements() {
			d.Signs = append(d.Signs, r.sign(c))
		}
	}
	if s := child(e, "sound"); s != nil {
		d.Sound = readSound(s)
	}
	for _, s := range d.Signs {
		if s.Name == "metronome" && d.Sound.Tempo == 0 {
			d.Sound.Tempo = metronomeTempo(r.doc.element(s.Source))
		}
	}
	r.m.Directions = append(r.m.Directions, d)
}

func (r *partReader) sign(e *etree.Element) score.Sign {
	s := score.Sign{
		Name: e.Tag, Type: attr(e, "type"), Number: numberAttr(e),
		Size: atoiOr(attr(e, "size"), 8), Source: r.doc.issue(e),
	}
	switch e.Tag {
	case "dynamics":
		for _, c := range e.ChildElements() {
			if c.Tag == "other-dynamics" {
				s.Text += strings.TrimSpace(c.Text())
			} else {
				s.Text += c.Tag
			}
		}
	case "words", "rehearsal":
		s.Text = e.Text()
	}
	return s
}

func readSound(e *etree.Element) score.Sound {
	number := func(key string) float64 {
		f, err := strconv.ParseFloat(attr(e, key), 64)
		if err != nil || !(f > 0 && f < 1e6) {
			return 0
		}
		return f
	}
	return score.Sound{
		Tempo:        number("tempo"),
		Dynamics:     number("dynamics"),
		DaCapo:       attr(e, "dacapo") == "yes",
		Fine:         attr(e, "fine") != "",
		Segno:        attr(e, "segno"),
		Coda:         attr(e, "coda"),
		DalSegno:     attr(e, "dalsegno"),
		ToCoda:       attr(e, "tocoda"),
		TimeOnly:     attr(e, "time-only"),
		ForwardStart: attr(e, "forward-repeat") == "yes",
	}
}

// metronomeTempo is the tempo of a metronome mark of the plain form, in
// quarter notes a minute, or 0.
func metronomeTempo(m *etree.Element) float64 {
	perMinute, err := strconv.ParseFloat(text(m, "per-minute"), 64)
	unit := dotted(notation.Value(text(m, "beat-unit")), m, "beat-unit-dot")
	if err != nil || !(perMinute > 0 && perMinute <= 1e4) {
		return 0
	}
	return perMinute * unit.Quarters()
}

func (r *partReader) harmony(e *etree.Element) {
	c := score.ChordSymbol{Onset: r.offset(e), Staff: r.staff(text(e, "staff")), Kind: text(e, "kind"), Source: r.doc.issue(e)}
	if kind := child(e, "kind"); kind != nil {
		c.Text = kind.SelectAttrValue("text", "")
	}
	c.Root, c.HasRoot = readTone(e, "root")
	if len(e.SelectElements("kind")) == 1 { // else a function of another, "V of II"
		c.Numeral = readNumeral(child(e, "numeral"))
	}
	c.Inversion = max(0, atoiOr(text(e, "inversion"), 0))
	c.Bass, c.HasBass = readTone(e, "bass")
	for _, d := range e.SelectElements("degree") {
		a, _ := alter(text(d, "degree-alter"))
		c.Degrees = append(c.Degrees, score.Degree{
			Value: atoiOr(text(d, "degree-value"), 0), Alter: a, Type: text(d, "degree-type"),
		})
	}
	r.m.Chords = append(r.m.Chords, c)
}

// readNumeral reads a numeral, which may be nil.
func readNumeral(e *etree.Element) score.Numeral {
	n := score.Numeral{Degree: atoiOr(text(e, "numeral-root"), 0)}
	if n.Degree < 1 || n.Degree > 7 {
		return score.Numeral{}
	}
	n.Alter, _ = alter(text(e, "numeral-alter"))
	if key := child(e, "numeral-key"); key != nil {
		n.HasKey = true
		n.Key = score.KeySignature{Fifths: atoiOr(text(key, "numeral-fifths"), 0), Mode: text(key, "numeral-mode")}
	}
	return n
}

// readTone reads the root or the bass of a chord symbol.
func readTone(e *etree.Element, what string) (score.Pitch, bool) {
	t := child(e, what)
	step, ok := score.ParseStep(text(t, what+"-step"))
	a, okAlter := alter(text(t, what+"-alter"))
	if !ok || !okAlter {
		return score.Pitch{}, false
	}
	return score.Pitch{Step: step, Alter: a}, true
}
