package xmltree

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

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
