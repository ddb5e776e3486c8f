package musicxml

import (
	"io"
	"strconv"
	"strings"

	"github.com/beevik/etree"
)

// output writes elements, each on a line of its own and indented by two spaces
// a level. What is begun can be taken back as long as its element is open.
type output struct {
	w     io.Writer
	err   error // the first of w
	text  []byte
	open  []openTag
	inTag bool // the ">" of the innermost start tag is not written yet
	named int  // the number in the last id of a note that is marked
}

// openTag is an element that has begun.
type openTag struct {
	tag    string
	before mark
}

// mark is how far the output is.
type mark struct {
	length int
	inTag  bool
}

// flushSize is how much is written at once.
const flushSize = 1 << 16

// flush hands on what is written, where it is much or the last.
func (o *output) flush(last bool) error {
	if o.err == nil && (last || len(o.text) >= flushSize) {
		_, o.err = o.w.Write(o.text)
		o.text = o.text[:0]
	}
	return o.err
}

func (o *output) mark() mark { return mark{len(o.text), o.inTag} }

// reset takes back all that was written since m.
func (o *output) reset(m mark) { o.text, o.inTag = o.text[:m.length], m.inTag }

// since tells whether anything was written since m.
func (o *output) since(m mark) bool { return len(o.text) > m.length }

// verbatim writes text that is indented as it stands.
func (o *output) verbatim(text string) { o.text = append(o.text, text...) }

// start begins an element.
func (o *output) start(tag string) {
	before := o.mark()
	o.line()
	o.text = append(append(o.text, '<'), tag...)
	o.open = append(o.open, openTag{tag, before})
	o.inTag = true
}

// line begins a line inside the innermost element.
func (o *output) line() {
	if o.inTag {
		o.text = append(o.text, ">\n"...)
		o.inTag = false
	}
	for n := len(o.open); n > 0; n -= len(indentation) / 2 {
		o.text = append(o.text, indentation[:min(2*n, len(indentation))]...)
	}
}

const indentation = "                                "

// attr writes an attribute of the element that has just begun.
func (o *output) attr(key, value string) {
	o.text = append(append(append(o.text, ' '), key...), `="`...)
	o.text = append(appendEscaped(o.text, value, true), '"')
}

// end ends the innermost element.
func (o *output) end() {
	tag := o.open[len(o.open)-1].tag
	o.open = o.open[:len(o.open)-1]
	if o.inTag {
		o.text = append(o.text, "/>\n"...)
		o.inTag = false
		return
	}
	o.line()
	o.endTag(tag)
}

func (o *output) endTag(tag string) {
	o.text = append(append(append(o.text, "</"...), tag...), ">\n"...)
}

// endUnlessEmpty ends the innermost element, or takes it back where it has
// neither attributes nor content.
func (o *output) endUnlessEmpty() {
	last := o.open[len(o.open)-1]
	if o.inTag && o.text[len(o.text)-1] != '"' { // which ends an attribute
		o.open = o.open[:len(o.open)-1]
		o.reset(last.before)
		return
	}
	o.end()
}

// leaf writes an element of nothing but text, which may be "".
func (o *output) leaf(tag, text string) {
	o.start(tag)
	o.endLeaf(text)
}

// endLeaf ends the innermost element, which has attributes at most, with a
// text.
func (o *output) endLeaf(text string) {
	if text == "" {
		o.end()
		return
	}
	o.text = append(o.text, '>')
	o.inTag = false
	o.text = appendEscaped(o.text, text, false)
	o.endTag(o.open[len(o.open)-1].tag)
	o.open = o.open[:len(o.open)-1]
}

// number writes an element of a number.
func (o *output) number(tag string, n int64) {
	var digits [20]byte
	o.leaf(tag, string(strconv.AppendInt(digits[:0], n, 10)))
}

// copy writes e, if there is one, and all in it. On a new page it leaves out
// layoutAttributes.
func (o *output) copy(e *etree.Element, newPage bool) {
	if e != nil {
		o.start(fullTag(e))
		o.attributes(e, newPage)
		o.copyInside(e, newPage)
	}
}

// copyNumbered is copy on a new page, with another number, or none for "".
func (o *output) copyNumbered(e *etree.Element, number string) {
	o.start(fullTag(e))
	for i := range e.Attr {
		if key := e.Attr[i].FullKey(); key != "number" && !layoutAttributes[key] {
			o.attr(key, e.Attr[i].Value)
		}
	}
	if number != "" {
		o.attr("number", number)
	}
	o.copyInside(e, true)
}

// copyInside writes what is in e, of which the start has been written, and its
// end.
func (o *output) copyInside(e *etree.Element, newPage bool) {
	switch inline, text := textOf(e); {
	case inline && text != "":
		o.endLeaf(text)
	case inline:
		o.text = append(o.text, '>')
		o.inTag = false
		for _, t := range e.Child {
			o.inside(t, newPage)
		}
		o.endTag(o.open[len(o.open)-1].tag)
		o.open = o.open[:len(o.open)-1]
	default:
		for _, t := range e.Child {
			if c, ok := t.(*etree.Element); ok {
				o.copy(c, newPage)
				continue
			}
			o.line()
			o.inside(t, newPage)
			o.text = append(o.text, '\n')
		}
		o.end()
	}
}

// textOf tells whether e has text, so that white space in it counts; where
// that is all, also the text.
func textOf(e *etree.Element) (inline bool, text string) {
	for _, t := range e.Child {
		if c, ok := t.(*etree.CharData); ok {
			if len(e.Child) == 1 && !c.IsCData() {
				text = c.Data
			}
			return true, text
		}
	}
	return false, ""
}

func (o *output) attributes(e *etree.Element, newPage bool) {
	for i := range e.Attr {
		a := &e.Attr[i]
		if key := a.FullKey(); !newPage || !layoutAttributes[key] {
			o.attr(key, a.Value)
		}
	}
}

// inside writes a token as it stands, without lines of its own.
func (o *output) inside(t etree.Token, newPage bool) {
	switch t := t.(type) {
	case *etree.CharData:
		if t.IsCData() {
			o.verbatim("<![CDATA[" + t.Data + "]]>")
		} else {
			o.text = appendEscaped(o.text, t.Data, false)
		}
	case *etree.Comment:
		o.verbatim("<!--" + t.Data + "-->")
	case *etree.ProcInst:
		o.verbatim("<?" + strings.TrimRight(t.Target+" "+t.Inst, " ") + "?>")
	case *etree.Element:
		o.verbatim("<" + fullTag(t))
		o.attributes(t, newPage)
		if len(t.Child) == 0 {
			o.verbatim("/>")
			return
		}
		o.verbatim(">")
		for _, c := range t.Child {
			o.inside(c, newPage)
		}
		o.verbatim("</" + fullTag(t) + ">")
	}
}

func fullTag(e *etree.Element) string {
	if e.Space == "" {
		return e.Tag
	}
	return e.Space + ":" + e.Tag
}

// appendEscaped appends s to text, with references for what must not stand in
// text as it is, or in an attribute.
func appendEscaped(text []byte, s string, inAttribute bool) []byte {
	from := 0
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c > '>' {
			continue
		}
		var escaped string
		switch {
		case c == '&':
			escaped = "&amp;"
		case c == '<':
			escaped = "&lt;"
		case c == '>':
			escaped = "&gt;"
		case c == '\r':
			escaped = "&#xD;"
		case c == '"' && inAttribute:
			escaped = "&quot;"
		case c == '\t' && inAttribute:
			escaped = "&#x9;"
		case c == '\n' && inAttribute:
			escaped = "&#xA;"
		default:
			continue
		}
		text = append(append(text, s[from:i]...), escaped...)
		from = i + 1
	}
	return append(text, s[from:]...)
}
