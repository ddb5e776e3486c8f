package xmltree

import (
	"strconv"
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
	empty, ok := q.attributes()
	if !ok {
		return false, nil
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

// attributes reads the attributes of a tag and its end.
func (q *quick) attributes() (empty, ok bool) {
	q.attrs = q.attrs[:0]
	for {
		q.skipSpace()
		switch {
		case q.next('>'):
			return false, true
		case q.next('/'):
			return true, q.next('>')
		}
		_, space, local, ok := q.name()
		if !ok {
			return false, false
		}
		if q.skipSpace(); !q.next('=') {
			return false, false
		}
		if q.skipSpace(); q.i == len(q.s) || q.s[q.i] != '"' && q.s[q.i] != '\'' {
			return false, false
		}
		quote := q.s[q.i]
		q.i++
		value, ok := q.value(quote)
		if !ok || !q.next(quote) {
			return false, false
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

// class is what a byte is in text.
type class byte

const (
	usual class = iota
	white
	wide      // part of a character beyond ASCII
	stop      // "<" and quotes: ends a text or belongs to it
	ampersand // or a carriage return: the text is not as written
	bracket   // "]": three characters that must not be
	wrong     // no character of XML
)

var classes, nameBytes, startsName = func() (c [256]class, name, start [256]bool) {
	for i := range c {
		b := byte(i)
		letter := 'a' <= b|0x20 && b|0x20 <= 'z' || b == '_'
		start[i] = letter || b == ':'
		name[i] = start[i] || '0' <= b && b <= '9' || b == '-' || b == '.'
		switch {
		case b == ' ' || b == '\t' || b == '\n':
			c[i] = white
		case b == '<' || b == '"' || b == '\'':
			c[i] = stop
		case b == '&' || b == '\r':
			c[i] = ampersand
		case b == ']':
			c[i] = bracket
		case b < ' ':
			c[i] = wrong
		case b >= utf8.RuneSelf:
			c[i] = wide
		}
	}
	return c, name, start
}()

// value reads text up to the end of the file or a byte that is not in it: "<",
// or the quote that ends an attribute, in which there must be no "<".
func (q *quick) value(end byte) (string, bool) {
	var seen [wrong + 1]bool
	s, i := q.s, q.i
	for ; i < len(s); i++ {
		c := classes[s[i]]
		if c <= white {
			continue
		}
		if c == stop && (s[i] == end || s[i] == '<') {
			break
		}
		seen[c] = true
	}
	raw := s[q.i:i]
	q.i = i
	switch {
	case seen[wrong],
		end != '<' && (i == len(s) || s[i] == '<'),
		end == '<' && seen[bracket] && strings.Contains(raw, "]]>"),
		seen[wide] && !soundText(raw):
		return "", false
	case seen[ampersand]:
		return unescape(raw)
	}
	return raw, true
}

// soundText tells whether s is UTF-8 without the characters that XML leaves
// out.
func soundText(s string) bool {
	return utf8.ValidString(s) && !strings.Contains(s, "\ufffe") && !strings.Contains(s, "\uffff")
}

// unescape replaces the references in s, and carriage returns by line feeds.
func unescape(s string) (string, bool) {
	var b strings.Builder
	s = strings.ReplaceAll(s, "\r\n", "\n")
	s = strings.ReplaceAll(s, "\r", "\n")
	for {
		before, after, found := strings.Cut(s, "&")
		b.WriteString(before)
		if !found {
			return b.String(), true
		}
		name, rest, found := strings.Cut(after, ";")
		r, ok := reference(name)
		if !found || !ok {
			return "", false
		}
		b.WriteRune(r)
		s = rest
	}
}

// reference is the character that a reference names.
func reference(name string) (rune, bool) {
	switch name {
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "amp":
		return '&', true
	case "apos":
		return '\'', true
	case "quot":
		return '"', true
	}
	digits, base := strings.TrimPrefix(name, "#"), 10
	if digits == name {
		return 0, false
	}
	if hex, ok := strings.CutPrefix(digits, "x"); ok {
		digits, base = hex, 16
	}
	n, err := strconv.ParseUint(digits, base, 32)
	r := rune(n)
	sound := r == '\t' || r == '\n' || r == '\r' || ' ' <= r && r < 0xd800 || 0xe000 <= r && r < 0xfffe || 0x10000 <= r && r <= utf8.MaxRune
	return r, err == nil && sound
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
