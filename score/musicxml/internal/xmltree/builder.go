package xmltree

import (
	"context"
	"fmt"

	"github.com/beevik/etree"
)

// builder builds a tree from tokens. Elements, texts and attributes are
// allocated many at a time: that is most of what reading costs.
type builder struct {
	ctx    context.Context
	text   string
	limits Limits
	nodes  int
	spans  map[*etree.Element]Span

	open  []open
	found []etree.Token // the children so far of what is open, outer ones first

	elements slab[etree.Element]
	texts    slab[etree.CharData]
	attrs    slab[etree.Attr]
	children slab[etree.Token]
}

// open is an element that has not ended.
type open struct {
	element  *etree.Element
	start    int    // of its tag in the text
	name     string // as written
	children int    // where they begin among those found
	elements bool   // there are elements among them
}

func newBuilder(ctx context.Context, text string, limits Limits) *builder {
	b := &builder{ctx: ctx, text: text, limits: limits, spans: map[*etree.Element]Span{}}
	// As many as the text may have, by the looks of scores, but in pieces.
	size := max(16, min(len(text)/32, 2048))
	b.elements.size, b.texts.size, b.attrs.size, b.children.size = size, size, max(8, size/4), 2*size
	return b
}

// slab hands out things that are allocated many at a time.
type slab[T any] struct {
	things []T
	used   int
	size   int
}

// take is n new ones in a row.
func (s *slab[T]) take(n int) []T {
	s.reserve(n)
	s.used += n
	return s.things[s.used-n : s.used : s.used]
}

// one is a new one.
func (s *slab[T]) one() *T {
	s.reserve(1)
	s.used++
	return &s.things[s.used-1]
}

func (s *slab[T]) reserve(n int) {
	if n > len(s.things)-s.used {
		s.things, s.used = make([]T, max(n, s.size)), 0
	}
}

// mostChildren is the most that an element may hold, white space apart: more
// than the measures of any part, or the notes of any measure.
const mostChildren = 1 << 17

// count counts nodes at a place in the text, and looks at the context from time
// to time.
func (b *builder) count(n, at int) error {
	if last := len(b.open) - 1; last >= 0 && len(b.found)-b.open[last].children > mostChildren {
		return problem(b.text, at, fmt.Sprintf("more than %d things in one <%s>: split it", mostChildren, b.open[last].element.Tag))
	}
	if err := b.room(n, at); err != nil {
		return err
	}
	before := b.nodes
	b.nodes += n
	if before>>12 != b.nodes>>12 {
		return b.ctx.Err()
	}
	return nil
}

// room is an error where there may not be n nodes more.
func (b *builder) room(n, at int) error {
	if n <= b.limits.Nodes-b.nodes {
		return nil
	}
	err := problem(b.text, at, fmt.Sprintf("more than %d elements, attributes and texts: raise the limit of size if you trust the file", b.limits.Nodes))
	err.limit = true
	return err
}

// start begins an element with so many attributes, which are still to be set.
func (b *builder) start(name, space, local string, attrs, at int) (*etree.Element, error) {
	if len(b.open) >= b.limits.Depth {
		return nil, problem(b.text, at, fmt.Sprintf("elements nested deeper than %d: no score is, export it again", b.limits.Depth))
	}
	if err := b.count(1+attrs, at); err != nil {
		return nil, err
	}
	e := b.elements.one()
	e.Space, e.Tag = space, local
	if attrs > 0 {
		e.Attr = b.attrs.take(attrs)
	}
	if n := len(b.open); n > 0 {
		b.open[n-1].elements = true
	}
	b.add(e)
	b.open = append(b.open, open{e, at, name, len(b.found), false})
	return e, nil
}

func (b *builder) add(t etree.Token) { b.found = append(b.found, t) }

// end ends the innermost element.
func (b *builder) end(at int) {
	o := &b.open[len(b.open)-1]
	kids := b.found[o.children:]
	if o.elements {
		kids = withoutSpace(kids)
	}
	if len(kids) > 0 {
		o.element.Child = b.children.take(len(kids))[:0]
		for _, k := range kids {
			o.element.AddChild(k)
		}
	}
	if o.element.Tag == "measure" {
		b.spans[o.element] = Span{o.start, at}
	}
	b.found, b.open = b.found[:o.children], b.open[:len(b.open)-1]
}

// withoutSpace are tokens without the white space between elements, which is
// written anew.
func withoutSpace(tokens []etree.Token) []etree.Token {
	kept := tokens[:0]
	for _, t := range tokens {
		if c, ok := t.(*etree.CharData); !ok || !c.IsWhitespace() || c.IsCData() {
			kept = append(kept, t)
		}
	}
	return kept
}

// characters adds text to the innermost element.
func (b *builder) characters(data string, at int) error {
	if len(b.open) == 0 {
		return nil
	}
	c := b.texts.one()
	c.SetData(data) // marks white space as such
	b.add(c)
	if c.IsWhitespace() {
		return nil // most is not kept
	}
	return b.count(1, at)
}

// other adds a token of another kind to the innermost element.
func (b *builder) other(t etree.Token, at int) error {
	if len(b.open) == 0 {
		return nil
	}
	b.add(t)
	return b.count(1, at)
}

// top are the elements that are in no other.
func (b *builder) top() []*etree.Element {
	var all []*etree.Element
	for _, t := range b.found {
		if e, ok := t.(*etree.Element); ok {
			all = append(all, e)
		}
	}
	return all
}
