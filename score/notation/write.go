package notation

import "undersong/score"

// writer writes the voices of a measure down. Notes and beams of all events
// share memory.
type writer struct {
	meter  *meter
	voices []Voice
	notes  []Note
	beams  []string

	// of the voice at hand, in the times of the meter's grid
	staff  int
	spans  []span
	pieces []piece
	events []Event
	info   []info // of each event
}

// info is what is known of an event beside what it shows.
type info struct {
	tuplet
	flags int // how many beams it can have
}

// tuplet is the index of a tuplet and of the one inside it, each -1 for none.
type tuplet struct{ span, inner int }

func newWriter(ctx *Context, m *score.Measure, voices int) *writer {
	return &writer{
		meter: ctx.meter, pieces: ctx.memory.pieces, info: ctx.memory.info,
		voices: make([]Voice, 0, voices), notes: make([]Note, 0, len(m.Notes)),
	}
}

// voice writes one voice.
func (w *writer) voice(l *lane) {
	for i := range l.chords {
		c := &l.chords[i]
		c.from, c.to = c.from.Add(w.meter.offset), c.to.Add(w.meter.offset)
	}
	w.staff, w.info = l.staff, w.info[:0]
	w.events = make([]Event, 0, len(l.chords)+2)
	if !w.measureRest(l) {
		w.spans = w.meter.spans(l.chords)
		at := w.meter.offset
		for i := range l.chords {
			c := &l.chords[i]
			w.rest(at, c.from, nil)
			w.chord(l.chords, i)
			at = c.to
		}
		w.rest(at, w.meter.offset.Add(w.meter.length), nil)
		w.brackets()
		w.setBeams()
	}
	w.voices = append(w.voices, Voice{l.number, l.staff, w.events})
}

// measureRest writes a full measure that holds nothing, or one rest.
func (w *writer) measureRest(l *lane) bool {
	e := Event{Length: w.meter.length, Staff: l.staff, MeasureRest: true}
	if len(l.chords) == 1 && l.chords[0].kind == rest {
		e.Rest = l.chords[0].notes[0]
		e.Staff, e.Hidden = e.Rest.Staff, e.Rest.Hidden
	}
	empty := len(l.chords) == 0 || e.Rest != nil && e.Rest.Length == w.meter.length
	if !empty || !w.meter.full {
		return false
	}
	w.events = append(w.events, e)
	return true
}

// chord writes chord i.
func (w *writer) chord(chords []chord, i int) {
	c := &chords[i]
	switch c.kind {
	case grace:
		w.grace(chords, i)
	case rest:
		w.rest(c.from, c.to, c.notes[0])
	default:
		w.cut(c.from, c.to, cutNote)
		for j, p := range w.pieces {
			e := w.add(p)
			e.Staff = c.notes[0].Staff
			e.Notes = w.written(c.notes, j == 0, j == len(w.pieces)-1)
		}
	}
}

// rest writes rests from p to q. One of the score stays one where it has a
// value, else its first piece stands for it.
func (w *writer) rest(p, q score.Time, source *score.Note) {
	if !p.Less(q) {
		return
	}
	into := cutRest
	if source != nil {
		into = keepRest
	}
	w.cut(p, q, into)
	for i, piece := range w.pieces {
		e := w.add(piece)
		e.Staff = w.staff
		if source == nil {
			continue
		}
		e.Staff, e.Hidden = source.Staff, source.Hidden
		if i == 0 {
			e.Rest = source
		}
	}
}

// cut makes pieces of p to q: inside and outside of tuplets for itself.
func (w *writer) cut(p, q score.Time, into cutter) {
	w.pieces = into.cut(w.pieces[:0], w.spans, w.meter.root, p, q)
}

// cutter adds the pieces from p to q in a cell.
type cutter func(pieces []piece, c cell, p, q score.Time) []piece

// cut adds the pieces from p to q in c, where spans are tuplets.
func (into cutter) cut(pieces []piece, spans []span, c cell, p, q score.Time) []piece {
	for p.Less(q) {
		i, end := spanAt(spans, p, q)
		n := len(pieces)
		if i < 0 {
			pieces = into(pieces, c, p, end)
		} else {
			s := &spans[i]
			pieces = into.cut(pieces, s.inner, s.written(), s.toWritten(p), s.toWritten(end))
			for j := n; j < len(pieces); j++ {
				x := &pieces[j]
				x.from, x.to = s.toReal(x.from), s.toReal(x.to)
			}
		}
		for j := n; j < len(pieces); j++ {
			x := &pieces[j]
			x.span, x.inner = i, x.span
		}
		p = end
	}
	return pieces
}

// spanAt is the index of the tuplet at p, or -1, and where it ends or the
// next begins, at most q.
func spanAt(spans []span, p, q score.Time) (int, score.Time) {
	switch i := spanAfter(spans, p); {
	case i == len(spans):
		return -1, q
	case p.Less(spans[i].from):
		return -1, score.Min(spans[i].from, q)
	default:
		return i, score.Min(spans[i].to, q)
	}
}

// add adds an event for a piece.
func (w *writer) add(p piece) *Event {
	e := Event{Onset: p.from.Sub(w.meter.offset), Length: p.to.Sub(p.from)}
	flags := 0
	if p.fits {
		e.Type, e.Dots, flags = p.value.name(), p.value.dots, p.value.flags()
	}
	if p.span >= 0 {
		e.Ratio = w.spans[p.span].ratio
		if p.inner >= 0 {
			e.Outer, e.Ratio = e.Ratio, both(w.spans[p.span].inner[p.inner].ratio, e.Ratio)
		}
	}
	w.info = append(w.info, info{tuplet{p.span, p.inner}, flags})
	w.events = append(w.events, e)
	return &w.events[len(w.events)-1]
}

// written are the notes of one piece of a chord.
func (w *writer) written(notes []*score.Note, first, last bool) []Note {
	n := len(w.notes)
	for _, x := range notes {
		w.notes = append(w.notes, Note{
			Note: x, First: first, Last: last,
			TieStop: x.TieStop || !first, TieStart: x.TieStart || !last,
		})
	}
	return w.notes[n:len(w.notes):len(w.notes)]
}

// grace writes chord i, a grace note, as the score has it; where that does not
// say, as an eighth where it is alone, else a sixteenth.
func (w *writer) grace(chords []chord, i int) {
	c := &chords[i]
	v := value{power: -1}
	if i > 0 && chords[i-1].kind == grace && chords[i-1].from == c.from ||
		i+1 < len(chords) && chords[i+1].kind == grace && chords[i+1].from == c.from {
		v.power = -2
	}
	if own, ok := valueOf(c.notes[0].GraceValue); ok {
		v = own
	}
	e := w.add(piece{from: c.from, to: c.from, value: v, fits: true, span: -1, inner: -1})
	e.Grace, e.Staff, e.Notes = true, c.notes[0].Staff, w.written(c.notes, true, true)
}

// brackets marks the ends of tuplets. One that has lost all but one event
// shows none.
func (w *writer) brackets() {
	for i := range w.events {
		in := w.info[i].tuplet
		if in.span < 0 {
			continue
		}
		e := &w.events[i]
		if s := &w.spans[in.span]; s.bracket() {
			e.TupletStart, e.TupletStop = w.ends(i, func(t tuplet) bool { return t.span == in.span })
		}
		if in.inner >= 0 && w.spans[in.span].inner[in.inner].bracket() {
			e.InnerStart, e.InnerStop = w.ends(i, func(t tuplet) bool { return t == in })
		}
	}
}

// ends tells whether a tuplet starts or stops with event i, where same finds
// the others in it.
func (w *writer) ends(i int, same func(tuplet) bool) (start, stop bool) {
	start = !same(w.beside(i, -1))
	stop = !same(w.beside(i, +1))
	return start && !stop, stop && !start
}

// beside is the tuplet of the event before or after event i, grace notes
// apart.
func (w *writer) beside(i, step int) tuplet {
	for i += step; i >= 0 && i < len(w.events); i += step {
		if !w.events[i].Grace {
			return w.info[i].tuplet
		}
	}
	return tuplet{-1, -1}
}
