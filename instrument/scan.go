package instrument

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// scan finds the fields of a YAML file, whatever their values are.
func (d *draft) scan(source []byte) {
	f, err := parser.ParseBytes(source, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		d.problems = append(d.problems, d.syntaxProblem(err))
		return
	}
	for _, doc := range f.Docs {
		switch body := doc.Body.(type) {
		case nil, *ast.CommentGroupNode:
		case *ast.MappingNode:
			for _, pair := range body.Values {
				d.scanPair(pair)
			}
		default:
			d.problems = append(d.problems, Problem{
				File: d.file, Line: body.GetToken().Position.Line,
				Want: "must be lines of a field, a colon and a value",
			})
		}
	}
}

func (d *draft) syntaxProblem(err error) Problem {
	p := Problem{File: d.file, Want: err.Error()}
	var syntax *yaml.SyntaxError
	if errors.As(err, &syntax) {
		p.Line, p.Want = syntax.Token.Position.Line, fmt.Sprintf(
			"is not YAML (%s): write a field, a colon and a value, and put quotes around a value with a colon in it", syntax.Message)
	}
	return p
}

func (d *draft) scanPair(pair *ast.MappingValueNode) {
	key := pair.Key.GetToken()
	value, ok := text(pair.Value)
	if !ok {
		value = strings.TrimSpace(pair.Value.String())
	}
	before, twice := d.lines[key.Value]
	d.lines[key.Value] = line{key.Position.Line, value}
	switch {
	case !slices.ContainsFunc(d.fields, func(f field) bool { return f.name == key.Value }):
		d.wrong(key.Value, "is not a field; there are %s", strings.Join(fieldNames(), ", "))
	case twice:
		d.wrong(key.Value, "is in line %d already: remove one of them", before.number)
	case !ok:
		d.wrong(key.Value, "must be a value or a list of values")
	}
}

func fieldNames() (names []string) {
	for _, f := range fields() {
		names = append(names, f.name)
	}
	return names
}

// text is a value as it is written; that of a list has spaces between its
// items.
func text(n ast.Node) (value string, ok bool) {
	switch n := n.(type) {
	case *ast.NullNode:
		return "", true
	case *ast.StringNode:
		return n.Value, true
	case *ast.LiteralNode:
		return n.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return n.GetToken().Value, true
	case *ast.SequenceNode:
		var items []string
		for _, item := range n.Values {
			t, ok := text(item)
			if !ok {
				return "", false
			}
			items = append(items, t)
		}
		return strings.Join(items, " "), true
	}
	return "", false
}
