package musicxml

import (
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

func (r *partReader) note(e *etree.Element) {
	n := score.Note{
		Source:   r.doc.issue(e),
		Staff:    max(r.staff(e), 1),
		Voice:    r.voiceNumber(e),
		Grace:    e.SelectElement("grace") != nil,
		Cue:      e.SelectElement("cue") != nil,
		Hidden:   attr(e, "print-object") == "no",
		Ratio:    readRatio(e),
		TimeOnly: attr(e, "time-only"),
		Stem:     stems[text(e, "stem")],
	}
	if !n.Grace {
		n.Length = r.duration(e)
	}
	r.pitch(e, &n)
	// A note of no duration takes no time: it is read as the ornament that it
	// sounds like.
	n.Grace = n.Grace || n.Length.Sign() == 0 && n.Kind != score.Rest
	if n.Grace {
		n.GraceValue = dotted(notation.Value(text(e, "type")), e, "dot")
		if g := e.SelectElement("grace"); g != nil {
			r.keepLength(n.Source, "make-time", attr(g, "make-time"))
		}
	}
	r.keepLength(n.Source, "attack", attr(e, "attack"))
	r.keepLength(n.Source, "release", attr(e, "release"))
	n.GraceChord = n.Grace && e.SelectElement("chord") != nil
	r.place(e, &n)
	r.readMarks(e, &n)
	n.Outer = r.outer(e, &n)
	r.m.Notes = append(r.m.Notes, n)
}

var stems = map[string]score.Stem{"up": score.StemUp, "down": score.StemDown, "none": score.StemNone, "double": score.StemDouble}

// place sets n's onset and moves the cursor past n. A chord member starts
// with the note before it and has its voice unless it says otherwise.
func (r *partReader) place(e *etree.Element, n *score.Note) {
	if e.SelectElement("chord") != nil {
		n.Onset = r.chord
		if text(e, "voice") == "" {
			n.Voice = r.voice
		}
		r.far = score.Max(r.far, n.End())
		return
	}
	n.Onset = r.at
	r.chord, r.voice = r.at, n.Voice
	r.move(n.Length)
}

func (r *partReader) pitch(e *etree.Element, n *score.Note) {
	p := e.SelectElement("pitch")
	switch {
	case e.SelectElement("rest") != nil:
		n.Kind = score.Rest
	case p == nil:
		n.Kind = score.Unpitched
	default:
		step, okStep := score.ParseStep(text(p, "step"))
		octave, err := strconv.Atoi(text(p, "octave"))
		a, okAlter := alter(text(p, "alter"))
		if !okStep || !okAlter || err != nil || octave < 0 || octave > 9 {
			r.problem("no such pitch: step %q, alter %q, octave %q", text(p, "step"), text(p, "alter"), text(p, "octave"))
		}
		n.Pitch = score.Pitch{Step: step, Alter: a, Octave: int8(octave)}
	}
}

func readRatio(e *etree.Element) score.Ratio {
	t := e.SelectElement("time-modification")
	if t == nil {
		return score.Ratio{}
	}
	return ratio(text(t, "actual-notes"), text(t, "normal-notes"))
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
	for _, c := range e.ChildElements() {
		switch {
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
	for _, c := range e.ChildElements() {
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
		Extend:   e.SelectElement("extend") != nil,
		Source:   r.doc.issue(e),
	}
}
