package musicxml

import (
	"archive/zip"
	"bufio"
	"fmt"
	"io"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// Software is the name that written scores give as their encoder.
const Software = "undersong"

// Write writes s, a score that was made from the document's, as MusicXML 4.0
// in UTF-8. The header is the document's, with the parts of s.
func (d *Document) Write(w io.Writer, s *score.Score) error {
	out := bufio.NewWriterSize(w, 1<<16)
	out.WriteString(xmlDeclaration)
	if s == d.score {
		out.Write(d.tree.text)
		return out.Flush()
	}
	out.WriteString("<score-partwise version=\"4.0\"")
	for _, a := range d.tree.root.Attr {
		if a.Key != "version" {
			fmt.Fprintf(out, " %s=%q", a.FullKey(), a.Value)
		}
	}
	out.WriteString(">\n")
	for _, e := range d.header(s) {
		writeElement(out, e, 1)
	}
	for _, p := range s.Parts {
		d.writePart(out, p)
	}
	out.WriteString("</score-partwise>\n")
	return out.Flush()
}

const xmlDeclaration = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"

// WriteArchive writes s as [Document.Write] does, packed as .mxl.
func (d *Document) WriteArchive(w io.Writer, s *score.Score) error {
	z := zip.NewWriter(w)
	c, err := z.Create("META-INF/container.xml")
	if err != nil {
		return err
	}
	if _, err := io.WriteString(c, container); err != nil {
		return err
	}
	f, err := z.Create("score.musicxml")
	if err != nil {
		return err
	}
	if err := d.Write(f, s); err != nil {
		return err
	}
	return z.Close()
}

const container = xmlDeclaration + `<container>
  <rootfiles>
    <rootfile full-path="score.musicxml" media-type="application/vnd.recordare.musicxml+xml"/>
  </rootfiles>
</container>
`

// writeElement writes e and a line end, indented by two spaces a level. The
// indentation of what is inside counts from the top of a tree, so e gets as
// many parents as it has in the file.
func writeElement(w *bufio.Writer, e *etree.Element, level int) {
	inner := e
	for range level {
		outer := etree.NewElement("outer")
		outer.AddChild(inner)
		inner = outer
	}
	doc := etree.NewDocument()
	doc.SetRoot(inner)
	settings := etree.NewIndentSettings()
	settings.Spaces = 2
	settings.PreserveLeafWhitespace = true
	doc.IndentWithSettings(settings)
	for range level {
		w.WriteString("  ")
	}
	e.WriteTo(w, &etree.WriteSettings{CanonicalText: true})
	w.WriteString("\n")
}

// partWriter writes the measures of one part.
type partWriter struct {
	doc       *Document
	part      *score.Part
	divisions int64 // in force; 0 before the first measure
	ctx       *notation.Context
}

func (d *Document) writePart(w *bufio.Writer, p *score.Part) {
	pw := &partWriter{doc: d, part: p, ctx: notation.NewContext(p)}
	fmt.Fprintf(w, "  <part id=%q>\n", p.ID)
	for i, m := range p.Measures {
		if text := pw.untouched(m); text != nil {
			w.WriteString("    ")
			w.Write(text)
			w.WriteString("\n")
			continue
		}
		divisions := divisionsOf(p.Measures[i:i+1], pw.divisions)
		if i == 0 {
			divisions = divisionsOf(d.engraved(p), 1)
		}
		writeElement(w, pw.measure(m, i == 0, divisions), 2)
	}
	w.WriteString("  </part>\n")
}

// untouched is the text of a measure that is the one that was read, where it
// still means the same: under the same divisions.
func (p *partWriter) untouched(m *score.Measure) []byte {
	was := p.doc.measures[m.Source]
	if was.measure != m || p.doc.tree.root.Tag != "score-partwise" {
		return nil
	}
	if p.divisions > 0 && was.start != score.Quarters(p.divisions) || was.end.Den() != 1 {
		return nil
	}
	p.divisions = was.end.Num()
	p.ctx.Advance(m)
	at := p.doc.tree.spans[p.doc.element(m.Source)]
	return p.doc.tree.text[at.start:at.end]
}

// engraved are the measures of p that are not as they were read.
func (d *Document) engraved(p *score.Part) []*score.Measure {
	var all []*score.Measure
	for _, m := range p.Measures {
		if d.measures[m.Source].measure != m {
			all = append(all, m)
		}
	}
	return all
}

// divisionsOf is the least number of divisions of a quarter note, a multiple
// of least, that all times of the measures need.
func divisionsOf(measures []*score.Measure, least int64) int64 {
	d := max(least, 1)
	need := func(t score.Time) {
		if d%t.Den() != 0 {
			d = d / gcd(d, t.Den()) * t.Den()
		}
	}
	for _, m := range measures {
		need(m.Length)
		for i := range m.Notes {
			need(m.Notes[i].Onset)
			need(m.Notes[i].Length)
		}
		for i := range m.Directions {
			need(m.Directions[i].Onset)
		}
		for i := range m.Chords {
			need(m.Chords[i].Onset)
		}
		for i := range m.Others {
			need(m.Others[i].Onset)
		}
	}
	return d
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
