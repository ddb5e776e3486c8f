package musicxml

import (
	"archive/zip"
	"compress/flate"
	"io"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// Software is the name that written scores give as their encoder.
const Software = "undersong"

// Write writes s, a score that was made from the document's, in UTF-8. The
// document's own score comes out as the text that was read, whatever its
// version, DOCTYPE and root; any other is MusicXML 4.0, partwise. The header,
// with titles and names, is the document's; its part list has the parts of s.
//
// Things that keep their Source are copied from the document where they still
// say the same, and built from the score where they do not. Set Source to 0
// when you change a thing that the score says less of than the document, such
// as a metronome mark.
//
// Notes that are marked as melody, or as a line that leads while it rests, have ids that
// begin with "melody-" or "interlude-", by which they are known when the file is read
// again; measures that are still as they were read keep what they have.
//
// The error is that of w, or a [score.Error] of what cannot be written, such as
// a Source of another document; then nothing is.
func (d *Document) Write(w io.Writer, s *score.Score) error {
	if err := d.writable(s); err != nil {
		return err
	}
	if s == d.score {
		if _, err := io.WriteString(w, xmlDeclaration); err != nil {
			return err
		}
		_, err := io.WriteString(w, d.tree.Text)
		return err
	}
	o := &output{w: w, text: make([]byte, 0, flushSize+flushSize/4), named: d.named}
	o.verbatim(xmlDeclaration)
	o.start("score-partwise")
	o.attr("version", "4.0")
	for _, a := range d.tree.Root.Attr { // the prefixes that elements may use
		if a.Space == "xmlns" {
			o.attr(a.FullKey(), a.Value)
		}
	}
	for _, e := range d.header(s) {
		o.copy(e, false)
	}
	for _, p := range s.Parts {
		d.writePart(o, p)
	}
	o.end()
	return o.flush(true)
}

const xmlDeclaration = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"

// packing is the level at which archives are packed: a little faster than the
// library's own, 6, and a tenth larger (measured on engraved songs).
const packing = 5

// WriteArchive writes s as [Document.Write] does, packed as .mxl.
func (d *Document) WriteArchive(w io.Writer, s *score.Score) error {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, packing) })
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

// partWriter writes the measures of one part.
type partWriter struct {
	*output
	doc       *Document
	part      *score.Part
	divisions score.Time // in force; zero before the first measure
	again     *rereader
}

// writePart writes the measures of p: those that are still the ones that were
// read as they stood, all others from their engraving, in divisions that are
// fine enough for all of them.
func (d *Document) writePart(o *output, p *score.Part) {
	voices, divisions := d.engrave(p)
	w := &partWriter{output: o, doc: d, part: p, again: newRereader()}
	o.start("part")
	o.attr("id", p.ID)
	for i, m := range p.Measures {
		switch {
		case voices[i] != nil:
			var next *score.Measure // which stays as it is
			if i+1 < len(p.Measures) && voices[i+1] == nil {
				next = p.Measures[i+1]
			}
			w.measure(m, voices[i], i == 0, divisions, next)
		case w.meansTheSame(m, i == 0):
			at := d.tree.Spans[d.element(m.Source)]
			o.line()
			o.verbatim(d.tree.Text[at.Start:at.End])
			o.verbatim("\n")
		default:
			o.copy(w.copied(m), false)
		}
		if voices[i] == nil {
			w.divisions = d.measures[m.Source].end
		}
		if o.flush(false) != nil {
			return // Write gives the error
		}
	}
	o.end()
}

// engrave engraves the measures of p that are not as they were read, and
// tells how many divisions of a quarter note they need.
func (d *Document) engrave(p *score.Part) (voices [][]notation.Voice, divisions score.Time) {
	ctx := notation.NewContext(p)
	voices = make([][]notation.Voice, len(p.Measures))
	count := int64(1)
	for i, m := range p.Measures {
		if d.measures[m.Source].measure == m {
			ctx.Advance(m)
			continue
		}
		voices[i] = notation.Measure(m, ctx)
		count = d.divisionsFor(m, voices[i], count)
	}
	return voices, score.Quarters(count)
}

// prepare ends a measure with the divisions that the next one, which is as it
// was read, was read under, so that it needs no change.
func (p *partWriter) prepare(next *score.Measure) {
	if start := p.doc.measures[next.Source].start; p.divisions != start {
		p.divisions = start
		p.start("attributes")
		p.leaf("divisions", decimalText(start))
		p.end()
	}
}

// meansTheSame tells whether the text of m, which is as it was read, can be
// written as it stood: under the divisions that it was read under.
func (p *partWriter) meansTheSame(m *score.Measure, first bool) bool {
	start := p.doc.measures[m.Source].start
	return p.doc.tree.Root.Tag == "score-partwise" &&
		(p.divisions == start || first && start == score.Quarter)
}

// copied is the element of a measure that is as it was read, with the
// divisions that it was read under. In a timewise score the music of a
// measure hangs under its part.
func (p *partWriter) copied(m *score.Measure) *etree.Element {
	was := p.doc.element(m.Source)
	e := was.Copy()
	if was.Tag == "part" {
		e.Tag = "measure"
		e.Attr = append([]etree.Attr{}, was.Parent().Attr...)
	}
	start := p.doc.measures[m.Source].start
	if p.divisions != start {
		a := etree.NewElement("attributes")
		a.CreateElement("divisions").SetText(decimalText(start))
		e.InsertChildAt(0, a)
	}
	return e
}

// divisionsFor is the least number of divisions of a quarter note, a multiple
// of least, that all times of an engraved measure need.
func (d *Document) divisionsFor(m *score.Measure, voices []notation.Voice, least int64) int64 {
	n := least
	need := func(t score.Time) {
		if n%t.Den() != 0 {
			n = score.LCM(n, t.Den())
		}
	}
	for _, v := range voices {
		for i := range v.Events {
			need(v.Events[i].Onset)
			need(v.Events[i].Length)
		}
	}
	for i := range m.Directions {
		need(m.Directions[i].Onset)
	}
	for i := range m.Chords {
		need(m.Chords[i].Onset)
	}
	for i := range m.Others {
		need(m.Others[i].Onset)
		need(d.lengths[lengthKey{m.Others[i].Source, "duration"}])
	}
	for i := range m.Barlines {
		if m.Barlines[i].Location == "middle" {
			need(m.Barlines[i].Onset)
		}
	}
	for t := range changesOf(m) {
		need(t)
	}
	return n
}
