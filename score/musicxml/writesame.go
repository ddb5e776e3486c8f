package musicxml

import (
	"reflect"

	"undersong/score"
	"undersong/score/musicxml/internal/xmltree"
)

// rereader reads single elements again, to tell whether a thing of the score
// is still as it was read: then its element is copied, else it is built.
type rereader struct{ partReader }

func newRereader() *rereader {
	common := int64(1)
	return &rereader{partReader{
		doc: &Document{
			tree: &xmltree.Tree{}, nodes: nil,
			measures: map[score.Source]readMeasure{}, lengths: map[lengthKey]score.Time{},
		},
		part: &score.Part{Staves: 1}, divisions: score.Quarter, common: &common,
		voices: map[string]int{}, tuplets: map[int][]openTuplet{},
	}}
}

// start forgets what was read before.
func (r *rereader) start() {
	r.doc.nodes, r.m, r.problems = append(r.doc.nodes[:0], nil), &score.Measure{}, nil
	*r.common = 1
}

// sameKey and those after it tell whether the element of a Source still says
// what the score says; not, where there is none.
func (w *measureWriter) sameKey(k score.KeyChange) bool {
	e := w.doc.element(k.Source)
	if e == nil {
		return false
	}
	w.again.start()
	w.again.key(e)
	return len(w.again.m.Keys) == 1 && w.again.m.Keys[0].Key == k.Key
}

func (w *measureWriter) sameTime(t score.TimeChange) bool {
	e := w.doc.element(t.Source)
	if e == nil {
		return false
	}
	w.again.start()
	w.again.timeSignature(e)
	return len(w.again.m.Times) == 1 && w.again.m.Times[0].Time.Equal(t.Time)
}

func (w *measureWriter) sameClef(c score.ClefChange) bool {
	e := w.doc.element(c.Source)
	if e == nil {
		return false
	}
	w.again.start()
	w.again.clef(e)
	return len(w.again.m.Clefs) == 1 && w.again.m.Clefs[0].Clef == c.Clef
}

func (w *measureWriter) sameTransposition(t score.TransposeChange) bool {
	e := w.doc.element(t.Source)
	if e == nil {
		return false
	}
	w.again.start()
	w.again.transpose(e)
	return len(w.again.m.Transposes) == 1 && w.again.m.Transposes[0].Transposition == t.Transposition
}

func (w *measureWriter) sameBarline(b *score.Barline) bool {
	e := w.doc.element(b.Source)
	if e == nil {
		return false
	}
	w.again.start()
	w.again.barline(e)
	was := w.again.m.Barlines[0]
	was.Onset, was.Source = b.Onset, b.Source
	return was == *b
}

// sameSign leaves out the number, which is written as the score has it.
func (w *measureWriter) sameSign(s *score.Sign) bool {
	e := w.doc.element(s.Source)
	if e == nil {
		return false
	}
	w.again.start()
	was := w.again.sign(e)
	was.Number, was.Source = s.Number, s.Source
	return was == *s
}

// sameLyric leaves out the verse, the times through and the side of the staff.
func (w *measureWriter) sameLyric(l score.Lyric) bool {
	e := w.doc.element(l.Source)
	if e == nil {
		return false
	}
	w.again.start()
	was := w.again.lyric(e)
	was.Verse, was.TimeOnly, was.Above, was.Source = l.Verse, l.TimeOnly, l.Above, l.Source
	return was == l
}

// sameHarmony leaves out which root and bass it has.
func (w *measureWriter) sameHarmony(c *score.ChordSymbol) bool {
	e := w.doc.element(c.Source)
	if e == nil {
		return false
	}
	w.again.start()
	w.again.harmony(e)
	was := w.again.m.Chords[0]
	was.Onset, was.Staff, was.Root, was.Bass, was.Source = c.Onset, c.Staff, c.Root, c.Bass, c.Source
	if len(was.Degrees) == 0 && len(c.Degrees) == 0 {
		was.Degrees = c.Degrees // nil and empty are one
	}
	return reflect.DeepEqual(was, *c)
}
