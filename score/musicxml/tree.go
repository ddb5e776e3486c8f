package musicxml

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"

	"github.com/beevik/etree"

	"undersong/score"
)

// span is where an element stands in the text.
type span struct{ start, end int }

// tree is a parsed text with the places of its measures.
type tree struct {
	root  *etree.Element
	text  []byte
	spans map[*etree.Element]span // of every measure: the text of one that is not touched is written again
}

// parse builds the element tree of text. encoding/xml checks the
// well-formedness of each token, this the nesting, so that an error can name
// its line.
func parse(ctx context.Context, text []byte, depth int) (*tree, error) {
	t := &tree{text: text, spans: map[*etree.Element]span{}}
	d := xml.NewDecoder(bytes.NewReader(text))
	top := &etree.NewDocument().Element
	at, open := top, 0
	for n := 0; ; n++ {
		if n%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		start := int(d.InputOffset())
		token, err := d.RawToken()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, t.problem(start, syntaxProblem(err))
		}
		switch token := token.(type) {
		case xml.StartElement:
			if open++; open > depth {
				return nil, t.problem(start, fmt.Sprintf("elements nested deeper than %d", depth))
			}
			at = t.open(at, token, start)
		case xml.EndElement:
			if at == top || at.Tag != token.Name.Local || at.Space != token.Name.Space {
				return nil, t.problem(start, fmt.Sprintf("</%s> closes nothing that is open: the file is damaged or not XML", token.Name.Local))
			}
			t.close(at, int(d.InputOffset()))
			at, open = at.Parent(), open-1
		case xml.CharData:
			if at != top {
				t.charData(at, token, start)
			}
		case xml.Comment:
			at.CreateComment(string(token))
		case xml.ProcInst:
			at.CreateProcInst(token.Target, string(token.Inst))
		}
	}
	if at != top {
		return nil, t.problem(len(text), fmt.Sprintf("the file ends inside <%s>: it is cut off", at.Tag))
	}
	roots := top.ChildElements()
	if len(roots) != 1 {
		return nil, &score.Error{Problem: fmt.Sprintf("not XML: it has %d root elements, not one", len(roots))}
	}
	t.root = roots[0]
	return t, nil
}

func (t *tree) open(parent *etree.Element, token xml.StartElement, start int) *etree.Element {
	e := parent.CreateElement(token.Name.Local)
	e.Space = token.Name.Space
	e.Attr = make([]etree.Attr, len(token.Attr))
	for i, a := range token.Attr {
		e.Attr[i] = etree.Attr{Space: a.Name.Space, Key: a.Name.Local, Value: a.Value}
	}
	if e.Tag == "measure" {
		t.spans[e] = span{start: start}
	}
	return e
}

func (t *tree) close(e *etree.Element, end int) {
	if e.Tag == "measure" {
		t.spans[e] = span{t.spans[e].start, end}
	}
}

func (t *tree) charData(parent *etree.Element, data xml.CharData, start int) {
	if bytes.HasPrefix(t.text[start:], []byte("<![CDATA[")) {
		parent.CreateCData(string(data))
		return
	}
	// SetData marks white space as such, which indenting anew relies on.
	parent.CreateText("").SetData(string(data))
}

// problem is an error at a place in the text.
func (t *tree) problem(offset int, what string) error {
	line := 1 + bytes.Count(t.text[:min(offset, len(t.text))], []byte("\n"))
	return &score.Error{Problem: fmt.Sprintf("line %d: %s", line, what)}
}

func syntaxProblem(err error) string {
	if s, ok := errors.AsType[*xml.SyntaxError](err); ok {
		return "not well-formed XML: " + s.Msg
	}
	return "not well-formed XML: " + err.Error()
}
