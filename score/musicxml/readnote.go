package musicxml

import (
	"math"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// noteElement is a note with its children, of which the first of each name
// counts.
type noteElement struct {
	*etree.Element
	grace, cue, chord, pitch, rest, duration, voice, kind, stem, staff, ratio *etree.Element

	signs bool // there are children that become marks
}

func findParts(e *etree.Element) noteElement {
	p := noteElement{Element: e}
	for _, t := range e.Child {
		c, ok := t.(*etree.Element)
		if !ok {
			continue
		}
		switch c.Tag {
		case "grace":
			first(&p.grace, c)
		case "cue":
			first(&p.cue, c)
		case "chord":
			first(&p.chord, c)
		case "pitch":
			first(&p.pitch, c)
		case "rest":
			first(&p.rest, c)
		case "duration":
			first(&p.duration, c)
		case "voice":
			first(&p.voice, c)
		case "type":
			first(&p.kind, c)
		case "stem":
			first(&p.stem, c)
		case "staff":
			first(&p.staff, c)
		case "time-modification":
			first(&p.ratio, c)
		default:
			p.signs = true
		}
	}
	return p
}

func first(at **etree.Element, e *etree.Element) {
	if *at == nil {
		*at = e
	}
}

func (r *partReader) note(element *etree.Element) {
	e := findParts(element)
	n := score.Note{
		Source: r.doc.issue(element),
		Staff:  max(r.staff(content(e.staff)), 1),
		Voice:  r.voiceNumber(content(e.voice)),
		Grace:  e.grace != nil,
		Cue:    e.cue != nil,
		Ratio:  readRatio(e.ratio),
		Stem:   stems[content(e.stem)],
	}
	if len(e.Attr) > 0 {
		n.Hidden, n.TimeOnly = attr(element, "print-object") == "no", attr(element, "time-only")
		n.Melody, n.Interlude = r.marked(attr(element, "id"), melodyID), r.marked(attr(element, "id"), interludeID)
		r.keepLength(n.Source, "attack", attr(element, "attack"))
		r.keepLength(n.Source, "release", attr(element, "release"))
	}
	if !n.Grace {
		n.Length = r.duration(element, content(e.duration))
	}
	r.pitch(&e, &n)
	// A note of no duration takes no time: it is read as the ornament that it
	// sounds like.
	n.Grace = n.Grace || n.Length.Sign() == 0 && n.Kind != score.Rest
	if n.Grace {
		n.GraceValue = dotted(notation.Value(content(e.kind)), element, "dot")
		if e.grace != nil {
			r.keepLength(n.Source, "make-time", attr(e.grace, "make-time"))
		}
	}
	n.GraceChord = n.Grace && e.chord != nil
	r.place(&e, &n)
	if e.signs {
		r.readMarks(element, &n)
		n.Outer = r.outer(&e, &n)
	} else if n.Ratio != (score.Ratio{}) {
		n.Outer = r.outer(&e, &n)
	}
	r.m.Notes = append(r.m.Notes, n)
}

// marked tells whether the id of a note, by what it begins with, marks it as of a line.
func (r *partReader) marked(id, beginning string) bool {
	number, marked := strings.CutPrefix(id, beginning)
	if k, err := strconv.Atoi(number); marked && err == nil && k < math.MaxInt32 {
		r.doc.named = max(r.doc.named, k)
	}
	return marked
}

var stems = map[string]score.Stem{"up": score.StemUp, "down": score.StemDown, "none": score.StemNone, "double": score.StemDouble}

// place sets n's onset and moves the cursor past n. A chord member starts
// with the note before it and has its voice unless it says otherwise.
func (r *partReader) place(e *noteElement, n *score.Note) {
	if e.chord != nil {
		n.Onset = r.chord
		if content(e.voice) == "" {
			n.Voice = r.voice
		}
		r.far = score.Max(r.far, n.End())
		return
	}
	n.Onset = r.at
	r.chord, r.voice = r.at, n.Voice
	r.move(n.Length)
}

func (r *partReader) pitch(e *noteElement, n *score.Note) {
	switch {
	case e.rest != nil:
		n.Kind = score.Rest
	case e.pitch == nil:
		n.Kind = score.Unpitched
	default:
		var step, change, octave *etree.Element
		for _, t := range e.pitch.Child {
			if c, ok := t.(*etree.Element); ok {
				switch c.Tag {
				case "step":
					first(&step, c)
				case "alter":
					first(&change, c)
				case "octave":
					first(&octave, c)
				}
			}
		}
		s, okStep := score.ParseStep(content(step))
		o, err := strconv.Atoi(content(octave))
		a, okAlter := alter(content(change))
		if !okStep || !okAlter || err != nil || o < 0 || o > 9 {
			r.problem("no such pitch: step %q, alter %q, octave %q: steps are A to G, alters -6 to 6, octaves 0 to 9", content(step), content(change), content(octave))
		}
		n.Pitch = score.Pitch{Step: s, Alter: a, Octave: int8(o)}
	}
}

// readRatio reads a time modification, which may be nil.
func readRatio(e *etree.Element) score.Ratio {
	if e == nil {
		return score.Ratio{}
	}
	return ratio(text(e, "actual-notes"), text(e, "normal-notes"))
}

// ratio is a tuplet's, zero where it is none or no sound one.
func ratio(actual, normal string) score.Ratio {
	q := score.Ratio{Actual: atoiOr(actual, 0), Normal: atoiOr(normal, 0)}
	if q.Actual < 1 || q.Normal < 1 || q.Actual > 1024 || q.Normal > 1024 || q.Actual == q.Normal {
		return score.Ratio{}
	}
	return q
}

// noteSigns are children of a note, outside its notations, that change how
// it looks or plays and stay with it wherever it goes.
var noteSigns = map[string]bool{"footnote": true, "level": true, "notehead": true, "notehead-text": true, "play": true, "listen": true}

func (r *partReader) readMarks(e *etree.Element, n *score.Note) {
	for _, t := range e.Child {
		c, ok := t.(*etree.Element)
		switch {
		case !ok:
		case c.Tag == "tie":
			n.TieStart = n.TieStart || attr(c, "type") == "start"
			n.TieStop = n.TieStop || attr(c, "type") == "stop"
		case c.Tag == "accidental":
			n.Courtesy = attr(c, "cautionary") == "yes" || attr(c, "parentheses") == "yes" ||
				attr(c, "bracket") == "yes" || attr(c, "editorial") == "yes"
		case c.Tag == "notations":
			r.notations(c, n)
		case c.Tag == "lyric":
			n.Lyrics = append(n.Lyrics, r.lyric(c))
		case noteSigns[c.Tag]:
			n.Marks = append(n.Marks, r.mark(c, "note"))
		}
	}
}

func (r *partReader) notations(e *etree.Element, n *score.Note) {
	for _, t := range e.Child {
		c, ok := t.(*etree.Element)
		if !ok {
			continue
		}
		switch c.Tag {
		case "tied":
			// Some programs write the sign only, without <tie>.
			n.TieStart = n.TieStart || attr(c, "type") == "start"
			n.TieStop = n.TieStop || attr(c, "type") == "stop"
			if attr(c, "type") == "let-ring" {
				n.Marks = append(n.Marks, r.mark(c, ""))
			}
		case "tuplet":
			// Follows from the lengths, and from what [partReader.outer] finds.
		case "articulations", "ornaments", "technical":
			for _, s := range c.ChildElements() {
				n.Marks = append(n.Marks, r.mark(s, c.Tag))
			}
		default:
			n.Marks = append(n.Marks, r.mark(c, ""))
		}
	}
}

func (r *partReader) mark(e *etree.Element, group string) score.Mark {
	return score.Mark{
		Name: e.Tag, Group: group, Type: attr(e, "type"), Number: numberAttr(e), Source: r.doc.issue(e),
	}
}

func (r *partReader) lyric(e *etree.Element) score.Lyric {
	var words []string
	for _, c := range e.ChildElements() {
		if c.Tag == "text" || c.Tag == "elision" {
			words = append(words, c.Text())
		}
	}
	return score.Lyric{
		Verse:    e.SelectAttrValue("number", "1"),
		Text:     strings.Join(words, ""),
		Syllabic: text(e, "syllabic"),
		TimeOnly: attr(e, "time-only"),
		Extend:   child(e, "extend") != nil,
		Source:   r.doc.issue(e),
	}
}
