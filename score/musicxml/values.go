package musicxml

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/beevik/etree"

	"undersong/score"
)

// child is e's first child with this tag, nil where there is none or no e.
func child(e *etree.Element, tag string) *etree.Element {
	if e == nil {
		return nil
	}
	for _, t := range e.Child {
		if c, ok := t.(*etree.Element); ok && c.Tag == tag {
			return c
		}
	}
	return nil
}

// remove takes all children with these tags out of e.
func remove(e *etree.Element, tags ...string) {
	for _, c := range e.ChildElements() {
		if slices.Contains(tags, c.Tag) {
			e.RemoveChild(c)
		}
	}
}

// text is the trimmed text of e's first child with this tag.
func text(e *etree.Element, tag string) string { return content(child(e, tag)) }

// content is the trimmed text of e, "" for nil.
func content(e *etree.Element) string {
	if e == nil {
		return ""
	}
	return strings.TrimSpace(e.Text())
}

// label is a name for people, on one line: white space of any kind is a space.
func label(s string) string {
	if strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c > '~' }) {
		s = strings.Map(func(c rune) rune {
			if unicode.IsControl(c) || unicode.IsSpace(c) {
				return ' '
			}
			return c
		}, s)
		s = strings.Join(strings.Fields(s), " ")
	}
	return s
}

// clipped is a value as a message has it, not longer than a line.
func clipped(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}

// attr is the trimmed value of an attribute of e, "" where it has none.
func attr(e *etree.Element, key string) string {
	for i := range e.Attr {
		if a := &e.Attr[i]; a.Key == key {
			return strings.TrimSpace(a.Value)
		}
	}
	return ""
}

// numberAttr is the number attribute that tells overlapping lines apart, 1
// when there is none.
func numberAttr(e *etree.Element) int { return atoiOr(attr(e, "number"), 1) }

func atoiOr(s string, otherwise int) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return otherwise
	}
	return n
}

// decimal reads a MusicXML decimal exactly: "-0.5" is -1/2.
func decimal(s string) (score.Time, bool) {
	if len(s) == 0 {
		return score.Time{}, false
	}
	whole, frac, _ := strings.Cut(s, ".")
	if len(frac) > 9 || len(whole) > 10 {
		return score.Time{}, false
	}
	n, err := strconv.ParseInt(whole+frac, 10, 64)
	if err != nil {
		return score.Time{}, false
	}
	den := int64(1)
	for range frac {
		den *= 10
	}
	return score.Frac(n, den), true
}

// alterText writes a change of pitch in semitones.
func alterText(a score.Alter) string { return strconv.FormatFloat(float64(a)/100, 'f', -1, 64) }

// decimalText writes what [decimal] reads.
func decimalText(t score.Time) string { return strconv.FormatFloat(t.Quarters(), 'f', -1, 64) }

// alter reads a change of pitch in semitones.
func alter(s string) (score.Alter, bool) {
	if s == "" {
		return 0, true
	}
	t, ok := decimal(s)
	cents := t.Mul(100, 1).Floor(score.Quarter).Num()
	return score.Alter(cents), ok && cents >= -600 && cents <= 600
}
