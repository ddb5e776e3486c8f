// Package xmltree reads XML into etree's elements, with the places of the
// measures in the text.
//
// Two readers fill the tree. [quick] knows what scores are made of: elements,
// attributes, text with the usual entities, comments, a DOCTYPE line. Where it
// meets anything else, or anything wrong, it gives up, and encoding/xml reads
// all of the text anew and has the word. So what is well-formed is what
// encoding/xml says; a fuzz test holds the two to each other.
//
// White space between elements is not kept, and a DOCTYPE is not followed.
package xmltree

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/beevik/etree"
)

// Tree is a text as elements.
type Tree struct {
	Root  *etree.Element
	Text  string
	Spans map[*etree.Element]Span // of every measure
}

// Span is where an element stands in the text.
type Span struct{ Start, End int }

// Limits bound what a hostile text can cost.
type Limits struct {
	Depth int // of nested elements
	Nodes int // elements, attributes, texts, comments and instructions
}

// Error is what is wrong with a text, and in which of its lines.
type Error struct {
	Line    int
	Problem string
	limit   bool // it is more than [Limits.Nodes]
}

// Is tells that an error of a limit is ErrTooLarge.
func (e *Error) Is(target error) bool { return e.limit && target == ErrTooLarge }

// ErrTooLarge is the error of more nodes than [Limits] allow.
var ErrTooLarge = errors.New("too large")

func (e *Error) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Problem) }

// Parse reads text, which is UTF-8. It stops soon after ctx is done. The errors
// are an [*Error], that of ctx, and one of a text without a root element or
// with several.
func Parse(ctx context.Context, text string, limits Limits) (*Tree, error) {
	b, err := parse(ctx, text, limits)
	if err != nil {
		return nil, err
	}
	roots := b.top()
	if len(roots) != 1 {
		return nil, fmt.Errorf("not XML: it has %d root elements, not one", len(roots))
	}
	return &Tree{roots[0], text, b.spans}, nil
}

func parse(ctx context.Context, text string, limits Limits) (*builder, error) {
	q := quick{builder: newBuilder(ctx, text, limits), s: text}
	done, err := q.run()
	if done || err != nil {
		return q.builder, err
	}
	b := newBuilder(ctx, text, limits)
	return b, b.careful()
}

// problem is an error at a place in the text.
func problem(text string, offset int, what string) *Error {
	return &Error{Line: 1 + strings.Count(text[:min(offset, len(text))], "\n"), Problem: what}
}
