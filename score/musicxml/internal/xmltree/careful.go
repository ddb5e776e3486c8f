package xmltree

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/beevik/etree"
)

// careful reads the text with encoding/xml, which checks each token; the
// nesting is checked here, so that an error can name its line.
func (b *builder) careful() error {
	d := xml.NewDecoder(strings.NewReader(b.text))
	for {
		at := int(d.InputOffset())
		// The decoder takes memory for all attributes of a tag at once.
		if err := b.room(attributesAt(b.text[at:]), at); err != nil {
			return err
		}
		token, err := d.RawToken()
		if err == io.EOF {
			break
		}
		if err != nil {
			return problem(b.text, at, syntaxProblem(err))
		}
		if err := b.token(token, at, int(d.InputOffset())); err != nil {
			return err
		}
	}
	if n := len(b.open); n > 0 {
		return problem(b.text, len(b.text), fmt.Sprintf("the file ends inside <%s>: it is cut off, copy or export it again", b.open[n-1].element.Tag))
	}
	return nil
}

// attributesAt is how many attributes the tag has that the text begins with,
// 0 without one.
func attributesAt(text string) int {
	if len(text) < 2 || text[0] != '<' || text[1] == '!' || text[1] == '?' || text[1] == '/' {
		return 0
	}
	n, quote := 0, byte(0)
	for i := range len(text) {
		switch c := text[i]; {
		case c == quote:
			quote = 0
		case quote != 0:
		case c == '"' || c == '\'':
			quote = c
		case c == '=':
			n++
		case c == '>':
			return n
		}
	}
	return n
}

// token takes a token, which stands between two places in the text.
func (b *builder) token(token xml.Token, at, end int) error {
	switch token := token.(type) {
	case xml.StartElement:
		return b.startToken(token, at)
	case xml.EndElement:
		n := len(b.open)
		if n == 0 || b.open[n-1].element.Tag != token.Name.Local || b.open[n-1].element.Space != token.Name.Space {
			return problem(b.text, at, fmt.Sprintf("</%s> closes nothing that is open: the file is damaged or not XML", token.Name.Local))
		}
		b.end(end)
	case xml.CharData:
		if strings.HasPrefix(b.text[at:], cdataStart) {
			return b.other(etree.NewCData(string(token)), at)
		}
		return b.characters(string(token), at)
	case xml.Comment:
		return b.other(etree.NewComment(string(token)), at)
	case xml.ProcInst:
		return b.other(etree.NewProcInst(token.Target, string(token.Inst)), at)
	}
	return nil
}

func (b *builder) startToken(token xml.StartElement, at int) error {
	e, err := b.start("", token.Name.Space, token.Name.Local, len(token.Attr), at)
	if err != nil {
		return err
	}
	for i, a := range token.Attr {
		e.Attr[i] = etree.Attr{Space: a.Name.Space, Key: a.Name.Local, Value: a.Value}
	}
	return nil
}

// syntaxProblem says what is wrong with the text.
func syntaxProblem(err error) string {
	what := err.Error()
	if s, ok := errors.AsType[*xml.SyntaxError](err); ok {
		what = s.Msg
	}
	if strings.HasPrefix(what, "unexpected EOF") {
		return "the file ends in the middle: it is cut off, copy or export it again"
	}
	return "not well-formed XML: " + what + ": export it again"
}
