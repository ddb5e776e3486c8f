package xmltree

import (
	"strings"
	"unicode/utf8"

	"github.com/beevik/etree"
)

// quick reads the XML that scores are made of.
type quick struct {
	*builder
	s string
	i int // what of s has been read

	attrs []etree.Attr // of the tag at hand
}

const cdataStart = "<![CDATA["

// run reads all of the text. It is not done where it has met what it does not
// know, or what is wrong.
func (q *quick) run() (done bool, err error) {
	for q.i < len(q.s) {
		q.skipIndentation()
		if q.i == len(q.s) {
			break
		}
		if q.s[q.i] != '<' {
			at := q.i
			data, ok := q.value('<')
			if !ok {
				return false, nil
			}
			if err := q.characters(data, at); err != nil {
				return false, err
			}
			continue
		}
		if ok, err := q.markup(); !ok || err != nil {
			return false, err
		}
	}
	return len(q.open) == 0, nil
}

// skipIndentation passes over white space that would not be kept: before the
// start of an element, and before an end after other elements.
func (q *quick) skipIndentation() {
	s, i := q.s, q.i
	for i < len(s) && (classes[s[i]] == white || s[i] == '\r') {
		i++
	}
	n := len(q.open)
	switch {
	case i == len(s):
		if n == 0 {
			q.i = i
		}
	case s[i] != '<' || i+1 == len(s):
	case s[i+1] == '/':
		if n == 0 || q.open[n-1].elements {
			q.i = i
		}
	case startsName[s[i+1]]:
		q.i = i
	}
}

// markup reads what begins with the "<" at hand.
func (q *quick) markup() (ok bool, err error) {
	rest := q.s[q.i:]
	switch {
	case len(rest) < 3:
		return false, nil
	case rest[1] == '/':
		return q.endTag(), nil
	case rest[1] != '!' && rest[1] != '?':
		return q.startTag()
	case strings.HasPrefix(rest, "<!--"):
		return q.comment()
	case strings.HasPrefix(rest, cdataStart):
		return q.cdata()
	case strings.HasPrefix(rest, "<!DOCTYPE"):
		return q.doctype(), nil
	}
	return false, nil
}

// endTag reads the end of the innermost element.
func (q *quick) endTag() bool {
	n := len(q.open)
	if n == 0 {
		return false
	}
	name := q.open[n-1].name
	end := q.i + 2 + len(name)
	if end >= len(q.s) || q.s[end] != '>' || q.s[q.i+2:end] != name {
		return false
	}
	q.i = end + 1
	q.end(q.i)
	return true
}

func (q *quick) startTag() (ok bool, err error) {
	at := q.i
	q.i++
	name, space, local, ok := q.name()
	if !ok {
		return false, nil
	}
	empty, ok, err := q.attributes(at)
	if !ok || err != nil {
		return false, err
	}
	e, err := q.start(name, space, local, len(q.attrs), at)
	if err != nil {
		return false, err
	}
	copy(e.Attr, q.attrs)
	if empty {
		q.end(q.i)
	}
	return true, nil
}

// attributes reads the attributes of the tag at a place, and its end.
func (q *quick) attributes(at int) (empty, ok bool, err error) {
	q.attrs = q.attrs[:0]
	for {
		q.skipSpace()
		switch {
		case q.next('>'):
			return false, true, nil
		case q.next('/'):
			return true, q.next('>'), nil
		}
		_, space, local, ok := q.name()
		if !ok {
			return false, false, nil
		}
		if q.skipSpace(); !q.next('=') {
			return false, false, nil
		}
		if q.skipSpace(); q.i == len(q.s) || q.s[q.i] != '"' && q.s[q.i] != '\'' {
			return false, false, nil
		}
		quote := q.s[q.i]
		q.i++
		value, ok := q.value(quote)
		if !ok || !q.next(quote) {
			return false, false, nil
		}
		if err := q.room(2+len(q.attrs), at); err != nil {
			return false, false, err
		}
		q.attrs = append(q.attrs, etree.Attr{Space: space, Key: local, Value: value})
	}
}

func (q *quick) skipSpace() {
	for q.i < len(q.s) && (classes[q.s[q.i]] == white || q.s[q.i] == '\r') {
		q.i++
	}
}

// next reads c, if that is what comes.
func (q *quick) next(c byte) bool {
	if q.i < len(q.s) && q.s[q.i] == c {
		q.i++
		return true
	}
	return false
}

// name reads a name of ASCII characters, with its prefix apart.
func (q *quick) name() (name, space, local string, ok bool) {
	start, colon := q.i, -1
	for q.i < len(q.s) && nameBytes[q.s[q.i]] {
		if q.s[q.i] == ':' {
			if colon >= 0 {
				return "", "", "", false
			}
			colon = q.i - start
		}
		q.i++
	}
	name = q.s[start:q.i]
	if name == "" || !startsName[name[0]] || q.i == len(q.s) || q.s[q.i] >= utf8.RuneSelf {
		return "", "", "", false
	}
	if colon < 0 {
		return name, "", name, true
	}
	return name, name[:colon], name[colon+1:], 0 < colon && colon < len(name)-1
}

func (q *quick) comment() (ok bool, err error) {
	at := q.i
	data, after, found := strings.Cut(q.s[q.i+len("<!--"):], "--")
	if !found || after == "" || after[0] != '>' {
		return false, nil
	}
	q.i = len(q.s) - len(after) + 1
	return true, q.other(etree.NewComment(data), at)
}

func (q *quick) cdata() (ok bool, err error) {
	at := q.i
	data, after, found := strings.Cut(q.s[q.i+len(cdataStart):], "]]>")
	if !found || !soundText(data) || strings.ContainsFunc(data, func(r rune) bool { return r < ' ' && r != '\t' && r != '\n' }) {
		return false, nil
	}
	q.i = len(q.s) - len(after)
	return true, q.other(etree.NewCData(data), at)
}

// doctype passes over a document type without declarations of its own.
func (q *quick) doctype() bool {
	quote := byte(0)
	for ; q.i+1 < len(q.s); q.i++ {
		switch b := q.s[q.i+1]; {
		case b == quote:
			quote = 0
		case quote != 0:
		case b == '"' || b == '\'':
			quote = b
		case b == '<' || b == '[':
			return false
		case b == '>':
			q.i += 2
			return true
		}
	}
	return false
}
