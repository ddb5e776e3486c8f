package plan

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/lead"
)

// Problems is all that is wrong with a plan's file, one problem a line, each
// with file, line, field and what is allowed.
type Problems []string

// Error is the problems, one a line.
func (p Problems) Error() string { return strings.Join(p, "\n") }

// sizeLimit is far more than a plan needs.
const sizeLimit = 1 << 18

// field is one that a plan or one of its sections can have.
type field[T any] struct {
	name    string
	allowed string
	set     func(into *T, value string) bool // false where the value is not allowed
}

var planFields = []field[Plan]{
	{"voicing", "inverted, tenor, covered or plain", func(p *Plan, v string) bool {
		p.Voicing = voicing.Voicing(strings.ToLower(v))
		return slices.Contains(voicing.Voicings(), p.Voicing)
	}},
	{"transpose", "a number of semitones from -6 to 6, or auto", func(p *Plan, v string) bool {
		if v == "auto" {
			p.Transpose = voicing.TransposeAuto
			return true
		}
		return number(&p.Transpose, v, -6, 6)
	}},
	{"difficulty", "a number from 1 to 5", func(p *Plan, v string) bool { return number(&p.Difficulty, v, 1, 5) }},
	{"figure", figures, func(p *Plan, v string) bool { return figure(&p.Figure, v) }},
}

// figures are what a figure can be.
const figures = "struck, after-beat, broken-up, broken-down, rocking, held or tremolo: how chord symbols without notes are played"

func figure(into *lead.Figure, text string) bool {
	*into = lead.Figure(strings.ToLower(text))
	return slices.Contains(lead.Figures(), *into)
}

var itemFields = []field[Item]{
	{"where", Where, func(i *Item, v string) bool {
		i.Where = v
		_, err := parseWhere(v)
		return err == nil
	}},
	{"voicing", "inverted, tenor, covered, plain or as-written", func(i *Item, v string) bool {
		i.Voicing = voicing.Voicing(strings.ToLower(v))
		return slices.Contains(append(voicing.Voicings(), voicing.AsWritten), i.Voicing)
	}},
	{"octave", "a number from -3 to 3: by how many octaves the melody is moved", func(i *Item, v string) bool {
		i.Manner.Octave = new(int)
		return number(i.Manner.Octave, v, -3, 3)
	}},
	{"notes", "a number from 1 to 4: notes of the accompaniment at once", func(i *Item, v string) bool { return number(&i.Manner.Notes, v, 1, 4) }},
	{"softer", "a number from 1 to 4: dynamic marks under the melody", func(i *Item, v string) bool { return number(&i.Manner.Softer, v, 1, 4) }},
	{"alone", "yes or no: the melody without accompaniment", func(i *Item, v string) bool {
		i.Manner.Alone = v == "yes" || v == "true"
		return slices.Contains([]string{"yes", "no", "true", "false"}, v)
	}},
	{"figure", figures, func(i *Item, v string) bool { return figure(&i.Manner.Figure, v) }},
}

func number(into *int, text string, least, most int) bool {
	n, err := strconv.Atoi(text)
	*into = n
	return err == nil && n >= least && n <= most
}

// Read reads a plan from YAML; file is its name for messages. What is wrong
// with it is of type [Problems].
func Read(r io.Reader, file string) (*Plan, error) {
	source, err := io.ReadAll(io.LimitReader(r, sizeLimit+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", file, err)
	case len(source) > sizeLimit:
		return nil, Problems{file + ": is too long for a plan"}
	}
	d := draft{file: file}
	tree, err := parser.ParseBytes(source, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		d.syntax(err)
		return nil, d.problems
	}
	p := &Plan{Voicing: voicing.Plain}
	if len(tree.Docs) > 1 {
		d.problem(tree.Docs[1].Body, "", "begins a second plan: a file has one")
		return nil, d.problems
	}
	for _, doc := range tree.Docs {
		switch body := doc.Body.(type) {
		case nil, *ast.CommentGroupNode:
			d.problems = append(d.problems, file+": says nothing: must have lines of a field, a colon and a value")
		case *ast.MappingNode:
			d.plan(p, body)
		default:
			d.problem(body, "", "must be lines of a field, a colon and a value")
		}
	}
	if len(d.problems) > 0 {
		return nil, d.problems
	}
	return p, nil
}

// draft is a plan's file being read.
type draft struct {
	file     string
	problems Problems
}

func (d *draft) problem(at ast.Node, field, want string) {
	d.problems = append(d.problems, score.OneLine(d.place(at, field)+want))
}

// place is how a problem's line begins: its file, line and field, "" of none.
func (d *draft) place(at ast.Node, field string) string {
	text := fmt.Sprintf("%s:%d: ", d.file, at.GetToken().Position.Line)
	if field != "" {
		text += field + ": "
	}
	return text
}

func (d *draft) syntax(err error) {
	var syntax *yaml.SyntaxError
	if errors.As(err, &syntax) {
		d.problems = append(d.problems, score.OneLine(fmt.Sprintf("%s:%d: is not YAML (%s)", d.file, syntax.Token.Position.Line, syntax.Message)))
		return
	}
	d.problems = append(d.problems, score.OneLine(d.file+": "+err.Error()))
}

func (d *draft) plan(p *Plan, m *ast.MappingNode) {
	d.fields(m, namesOf(planFields, "sections"), func(name string, value ast.Node) {
		if name != "sections" {
			setField(d, planFields, p, name, value)
			return
		}
		list, ok := value.(*ast.SequenceNode)
		if !ok {
			if _, none := value.(*ast.NullNode); !none {
				d.problem(value, "sections", `must be a list, each section after "- "`)
			}
			return
		}
		for _, entry := range list.Values {
			d.item(p, entry)
		}
	})
}

func (d *draft) item(p *Plan, entry ast.Node) {
	m, ok := entry.(*ast.MappingNode)
	if !ok {
		d.problem(entry, "sections", "must have fields: "+strings.Join(namesOf(itemFields), ", "))
		return
	}
	var item Item
	placed := false
	d.fields(m, namesOf(itemFields), func(name string, value ast.Node) {
		setField(d, itemFields, &item, name, value)
		if name == "where" {
			placed, item.at = true, d.place(value, name)
		}
	})
	if !placed {
		d.problem(entry, "where", "must be there: "+Where)
	}
	if placed && len(m.Values) == 1 {
		d.problem(entry, "where", "is alone: say how it is voiced, with "+strings.Join(namesOf(itemFields[1:]), ", "))
	}
	p.Items = append(p.Items, item)
}

// fields visits the fields of a mapping that may be there, each once.
func (d *draft) fields(m *ast.MappingNode, names []string, visit func(name string, value ast.Node)) {
	seen := map[string]bool{}
	for _, pair := range m.Values {
		name := pair.Key.GetToken().Value
		switch {
		case !slices.Contains(names, name):
			d.problem(pair.Key, name, "is not a field here; there are "+strings.Join(names, ", "))
		case seen[name]:
			d.problem(pair.Key, name, "is there twice: remove one of them")
		default:
			seen[name] = true
			visit(name, pair.Value)
		}
	}
}

func namesOf[T any](fields []field[T], more ...string) []string {
	var names []string
	for _, f := range fields {
		names = append(names, f.name)
	}
	return append(names, more...)
}

func setField[T any](d *draft, fields []field[T], into *T, name string, value ast.Node) {
	f := fields[slices.IndexFunc(fields, func(f field[T]) bool { return f.name == name })]
	text := ""
	switch value.(type) {
	case *ast.StringNode, *ast.IntegerNode, *ast.BoolNode, *ast.FloatNode:
		text = strings.TrimSpace(value.GetToken().Value)
		if f.set(into, text) {
			return
		}
		text = strconv.Quote(text) + ": "
	case *ast.NullNode:
		text = "is empty: "
	default:
		text = "is more than a word or a number on its line: "
	}
	d.problem(value, name, text+"must be "+f.allowed)
}
