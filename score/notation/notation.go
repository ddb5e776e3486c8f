// Package notation works out what musical notation adds to the notes
// themselves: complete voices and rests, note types, dots and tuplets, ties
// inside a measure, beams, stems and accidentals.
//
// It changes no note, knows no file format and lays nothing out on a page.
// Its rules are common practice, no source, where they name none.
package notation

import "undersong/score"

// Measure engraves one measure of a part: its voices by staff, then number.
// Every voice fills the measure without gap or overlap, and every staff shows
// at least one. ctx moves past the measure.
func Measure(m *score.Measure, ctx *Context) []Voice {
	ctx.begin(m)
	lanes := ctx.lanes(m)
	w := newWriter(ctx, m, len(lanes))
	for i := range lanes {
		w.voice(&lanes[i])
	}
	ctx.memory.pieces, ctx.memory.info = w.pieces, w.info
	setStems(w.voices, ctx)
	setAccidentals(w.voices, m, ctx)
	ctx.Advance(m)
	return w.voices
}

// Voice is one voice of one measure. Grace notes stand before the event that
// they lean on; the other events follow each other in time.
type Voice struct {
	Number int
	Staff  int // the one it belongs to; single events may be on another
	Events []Event
}

// Event is a chord (of one note, often) or a rest, with one written value.
type Event struct {
	Onset, Length score.Time // in the measure; a grace note has no length

	Notes []Note      // from low to high; none for a rest
	Rest  *score.Note // the rest of the score that begins here, or nil
	Staff int         // of a rest; each note names its own, the first this one
	// Hidden is set for all pieces of a rest that is not printed.
	Hidden bool

	MeasureRest bool // a rest for the whole measure, whatever its length
	Grace       bool

	// Type is the note type as MusicXML names it, "quarter". It is "" for a
	// measure rest, and where no written value fits the length: then the
	// length alone counts.
	Type  string
	Dots  int
	Ratio score.Ratio // the time modification; zero outside of tuplets
	// Outer is the ratio of the tuplet around the event's own, where tuplets
	// are nested: the event's Ratio is that of both together.
	Outer score.Ratio
	// TupletStart and TupletStop are the ends of a tuplet's bracket, the
	// outer one where tuplets are nested. One tuplet ends before the next
	// starts. InnerStart and InnerStop are the ends of a bracket inside.
	TupletStart, TupletStop bool
	InnerStart, InnerStop   bool

	// Beams are the signs of each level, first that of the main beam: "begin",
	// "continue", "end", "forward hook" or "backward hook".
	Beams []string

	// Stem is StemAuto where nothing need be said (rests, whole notes) and
	// StemNone where the score asks for a note without its stem.
	Stem score.Stem
}

// Note is one written note: all of a note of the score, or one of the pieces
// that are tied together to make it.
type Note struct {
	Note *score.Note
	// First and Last tell which piece this is: lyrics and most marks go with
	// the first, what ends with the note goes with the last.
	First, Last bool
	// TieStart and TieStop are the ties of this piece.
	TieStart, TieStop bool

	Accidental string // as MusicXML names it, "sharp"; "" for none
	Cautionary bool   // the accidental only reminds
}
