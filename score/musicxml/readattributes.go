package musicxml

import (
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"undersong/score"
)

func (r *partReader) attributes(e *etree.Element) {
	for _, t := range e.Child {
		c, ok := t.(*etree.Element)
		if !ok {
			continue
		}
		switch c.Tag {
		case "divisions":
			r.setDivisions(strings.TrimSpace(c.Text()))
		case "staves":
			if n, err := strconv.Atoi(strings.TrimSpace(c.Text())); err == nil && n > 0 && n <= mostStaves {
				r.part.Staves = max(r.part.Staves, n)
			} else {
				r.problem("%q staves: a part has 1 to %d", c.Text(), mostStaves)
			}
		case "key":
			r.key(c)
		case "time":
			r.timeSignature(c)
		case "clef":
			r.clef(c)
		case "transpose":
			r.transpose(c)
		default:
			r.m.Others = append(r.m.Others, score.Other{
				Name: c.Tag, Onset: r.at, Staff: atoiOr(attr(c, "number"), 0), Source: r.doc.issue(c),
			})
		}
	}
}

func (r *partReader) setDivisions(s string) {
	d, ok := decimal(s)
	if !ok || d.Sign() <= 0 || d.Num() > 1<<30 || d.Den() > 1000 {
		r.problem("divisions %q: a quarter note has 1 to %d, with three decimals at most", s, 1<<30)
		return
	}
	r.divisions, r.divided, r.lastDuration = d, true, textLength{}
}

func (r *partReader) key(e *etree.Element) {
	k := score.KeySignature{Mode: text(e, "mode")}
	if f := text(e, "fifths"); f != "" {
		n, err := strconv.Atoi(f)
		if err != nil || n < -14 || n > 14 {
			r.problem("a key of %q fifths: give -7 to 7", f)
			return
		}
		k.Fifths = n
	} else {
		k.Free = true
		for _, c := range e.SelectElements("key-step") {
			step, ok := score.ParseStep(strings.TrimSpace(c.Text()))
			a, okAlter := alter(nextText(c, "key-alter"))
			if ok && okAlter {
				k.Alters[step] = a
			}
		}
	}
	r.m.Keys = append(r.m.Keys, score.KeyChange{
		Onset: r.at, Staff: atoiOr(attr(e, "number"), 0), Key: k, Source: r.doc.issue(e),
	})
}

// nextText is the text of the sibling right after e, if it has this tag.
func nextText(e *etree.Element, tag string) string {
	if n := e.NextSibling(); n != nil && n.Tag == tag {
		return strings.TrimSpace(n.Text())
	}
	return ""
}

// mostNumbers are the most that may be added up in a time signature.
const mostNumbers = 64

// timeSignature reads a time signature. A beat type that is no power of two is
// taken at its word: 4/12 is four twelfths of a whole note.
func (r *partReader) timeSignature(e *etree.Element) {
	var t score.TimeSignature
	numbers := 0
	for _, b := range e.SelectElements("beats") {
		g, ok := r.beatGroup(b)
		if !ok {
			return
		}
		if numbers += len(g.Beats); numbers > mostNumbers {
			r.problem("a time signature that adds up more than %d numbers", mostNumbers)
			return
		}
		// Each unit first: no sum of what cannot be counted is taken.
		if !r.countable(score.Frac(4, int64(g.Unit))) {
			r.problem("time signature %q/%d divides a quarter note too finely", b.Text(), g.Unit)
			return
		}
		t.Groups = append(t.Groups, g)
	}
	r.time, _ = t.Length()
	r.signature = t
	r.m.Times = append(r.m.Times, score.TimeChange{
		Onset: r.at, Staff: atoiOr(attr(e, "number"), 0), Time: t, Source: r.doc.issue(e),
	})
}

// beatGroup reads a number of beats or a sum, up to one that is too many, and
// the beat type after it.
func (r *partReader) beatGroup(beats *etree.Element) (score.BeatGroup, bool) {
	unit := nextText(beats, "beat-type")
	g := score.BeatGroup{Unit: atoiOr(unit, 0)}
	for s := range strings.SplitSeq(beats.Text(), "+") {
		n := atoiOr(strings.TrimSpace(s), 0)
		if n < 1 || n > 1024 || g.Unit < 1 || g.Unit > 1024 {
			r.problem("time signature %q/%q: both are whole numbers from 1 to 1024", beats.Text(), unit)
			return g, false
		}
		if g.Beats = append(g.Beats, n); len(g.Beats) > mostNumbers {
			break
		}
	}
	return g, true
}

func (r *partReader) clef(e *etree.Element) {
	c := score.Clef{Sign: text(e, "sign"), OctaveChange: atoiOr(text(e, "clef-octave-change"), 0)}
	usual := map[string]int{"G": 2, "F": 4, "C": 3}
	c.Line = atoiOr(text(e, "line"), usual[c.Sign])
	r.m.Clefs = append(r.m.Clefs, score.ClefChange{
		Onset: r.at, Staff: numberAttr(e), Clef: c, Source: r.doc.issue(e),
	})
}

// maxTransposition, in semitones, is beyond any instrument.
const maxTransposition = 60

func (r *partReader) transpose(e *etree.Element) {
	t := readTransposition(e)
	if t.Semitones < -maxTransposition || t.Semitones > maxTransposition || t.Letters < -maxTransposition || t.Letters > maxTransposition {
		r.problem("a transposition by %d semitones and %d letters: the limit is %d", t.Semitones, t.Letters, maxTransposition)
		return
	}
	r.m.Transposes = append(r.m.Transposes, score.TransposeChange{
		Onset: r.at, Staff: atoiOr(attr(e, "number"), 0), Transposition: t, Source: r.doc.issue(e),
	})
}

func readTransposition(e *etree.Element) score.Transposition {
	octaves := atoiOr(text(e, "octave-change"), 0)
	t := score.Transposition{
		Letters:   atoiOr(text(e, "diatonic"), 0) + 7*octaves,
		Semitones: atoiOr(text(e, "chromatic"), 0) + 12*octaves,
	}
	if child(e, "diatonic") == nil {
		t.Letters = score.Interval(t.Semitones).Letters
	}
	return t
}
