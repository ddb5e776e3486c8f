package musicxml

import (
	"reflect"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/musicxml/internal/xmltree"
)

// rereader reads single elements again, to tell whether a thing of the score
// is still as it was read: then its element is copied, else it is built.
type rereader struct{ *partReader }

func newRereader() *rereader {
	return &rereader{newPartReader(newDocument(&xmltree.Tree{}), &score.Part{Staves: 1}, new(int64))}
}

// start forgets what was read before.
func (r *rereader) start() {
	r.doc.nodes, r.m, r.problems = append(r.doc.nodes[:0], nil), &score.Measure{}, nil
	*r.common = 1
}

// reread reads the element of a Source again; of none there is nothing in the measure.
func (w *measureWriter) reread(source score.Source, read func(*etree.Element)) *score.Measure {
	w.again.start()
	if e := w.doc.element(source); e != nil {
		read(e)
	}
	return w.again.m
}

// sameKey and those after it tell whether the element of a Source still says
// what the score says; not, where there is none.
func (w *measureWriter) sameKey(k score.KeyChange) bool {
	was := w.reread(k.Source, w.again.key).Keys
	return len(was) == 1 && was[0].Key == k.Key
}

func (w *measureWriter) sameTime(t score.TimeChange) bool {
	was := w.reread(t.Source, w.again.timeSignature).Times
	return len(was) == 1 && was[0].Time.Equal(t.Time)
}

func (w *measureWriter) sameClef(c score.ClefChange) bool {
	was := w.reread(c.Source, w.again.clef).Clefs
	return len(was) == 1 && was[0].Clef == c.Clef
}

func (w *measureWriter) sameTransposition(t score.TransposeChange) bool {
	was := w.reread(t.Source, w.again.transpose).Transposes
	return len(was) == 1 && was[0].Transposition == t.Transposition
}

func (w *measureWriter) sameBarline(b *score.Barline) bool {
	was := w.reread(b.Source, w.again.barline).Barlines
	if len(was) != 1 {
		return false
	}
	was[0].Onset, was[0].Source = b.Onset, b.Source
	return was[0] == *b
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
	chords := w.reread(c.Source, w.again.harmony).Chords
	if len(chords) != 1 {
		return false
	}
	was := chords[0]
	was.Onset, was.Staff, was.Root, was.Bass, was.Source = c.Onset, c.Staff, c.Root, c.Bass, c.Source
	if len(was.Degrees) == 0 && len(c.Degrees) == 0 {
		was.Degrees = c.Degrees // nil and empty are one
	}
	return reflect.DeepEqual(was, *c)
}
