package musicxml

import (
	"context"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"strings"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/musicxml/internal/xmltree"
)

// Document is a MusicXML file that has been read. It never changes, so one
// reading can serve many writings, at once.
type Document struct {
	tree  *xmltree.Tree
	nodes []*etree.Element // by Source, from base on; the first is none
	base  score.Source
	score *score.Score
	// measures are the measures as they were read, by Source.
	measures map[score.Source]readMeasure
	named    int // the highest number in the id of a note that is marked
	// lengths are what elements that are copied say in divisions.
	lengths map[lengthKey]score.Time
}

// lengthKey names an attribute, or the child of an element.
type lengthKey struct {
	source score.Source
	name   string
}

// readMeasure is a measure as it was read, with the divisions of a quarter
// note in force at its start and at its end.
type readMeasure struct {
	measure    *score.Measure
	start, end score.Time
}

// Read reads a score from r: plain or packed, by content. name is the file's,
// for messages. The error, if any, names every problem found, each a
// [score.Error] with its place.
func Read(r io.Reader, name string, limits Limits) (*Document, error) {
	return ReadContext(context.Background(), r, name, limits)
}

// ReadContext is [Read] with a context: when that is done, reading stops soon
// and the error is the context's.
func ReadContext(ctx context.Context, r io.Reader, name string, limits Limits) (*Document, error) {
	err := limits.check()
	var doc *Document
	if err == nil {
		doc, err = read(ctx, r, limits.withDefaults())
	}
	if err != nil {
		return nil, inFile(err, name)
	}
	return doc, nil
}

func read(ctx context.Context, r io.Reader, limits Limits) (*Document, error) {
	raw, err := readUpTo(ctx, r, limits.Bytes)
	if err != nil {
		return nil, err
	}
	if len(raw) == 0 {
		return nil, errors.New("the file is empty: export the score again")
	}
	if isArchive(raw) {
		if raw, err = unpack(ctx, raw, limits); err != nil {
			return nil, err
		}
	}
	text, notice, err := decode(raw)
	if err != nil {
		return nil, err
	}
	if !strings.HasPrefix(strings.TrimSpace(text), "<") {
		return nil, errors.New("not MusicXML: it is neither XML nor a ZIP archive; export the score as MusicXML")
	}
	t, err := xmltree.Parse(ctx, text, xmltree.Limits{Depth: limits.Depth, Nodes: limits.Nodes})
	if err != nil {
		return nil, err
	}
	doc := newDocument(t)
	doc.base = baseFor(t.Text)
	if tag := t.Root.Tag; tag != "score-partwise" && tag != "score-timewise" {
		return nil, fmt.Errorf("not MusicXML: the root element is <%s>; export the score as MusicXML", tag)
	}
	if doc.score, err = readScore(ctx, doc); err != nil {
		return nil, err
	}
	if notice != "" {
		doc.score.Notices = append(doc.score.Notices, notice)
	}
	return doc, nil
}

// newDocument is a document of which nothing has been read.
func newDocument(t *xmltree.Tree) *Document {
	return &Document{
		tree: t, nodes: []*etree.Element{nil},
		measures: map[score.Source]readMeasure{}, lengths: map[lengthKey]score.Time{},
	}
}

// stoppable is a reader that fails once its context is done.
type stoppable struct {
	ctx context.Context
	r   io.Reader
}

func (s stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(p)
}

// inFile puts the file's name into every score.Error that err joins.
func inFile(err error, name string) error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, inFile(e, name))
		}
		return errors.Join(all...)
	}
	placed, ok := errors.AsType[*score.Error](err)
	if !ok {
		return &score.Error{Place: score.Place{File: name}, Err: err}
	}
	copied := *placed
	copied.File = name
	return &copied
}

// Score is the music that was read. It is shared and must not be changed:
// whoever changes a measure puts a new one in a new part of a new score.
func (d *Document) Score() *score.Score { return d.score }

// issue gives e a Source. Those of another document begin elsewhere, as a rule,
// so that [Document.Write] can tell them apart.
func (d *Document) issue(e *etree.Element) score.Source {
	d.nodes = append(d.nodes, e)
	return d.base + score.Source(len(d.nodes)-1)
}

// element is the element of a Source, nil for 0 and where d did not issue it.
func (d *Document) element(s score.Source) *etree.Element {
	if i := int64(s) - int64(d.base); i > 0 && i < int64(len(d.nodes)) {
		return d.nodes[i]
	}
	return nil
}

// baseFor is a number for a text, a multiple of 2^25: documents have fewer
// elements.
func baseFor(text string) score.Source {
	var sum uint32
	var chunk [4096]byte
	for len(text) > 0 {
		n := copy(chunk[:], text)
		sum = crc32.Update(sum, crc32.IEEETable, chunk[:n])
		text = text[n:]
	}
	return score.Source(sum % 127 << 25)
}
