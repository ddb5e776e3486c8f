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
	span  int // the index of its tuplet, or -1
	flags int // how many beams it can have
}

func newWriter(g *meter, m *score.Measure, voices int) *writer {
	return &writer{meter: g, voices: make([]Voice, 0, voices), notes: make([]Note, 0, len(m.Notes))}
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
		e.Staff = e.Rest.Staff
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
		e.Staff = source.Staff
		if i == 0 {
			e.Rest = source
		}
	}
}

// cut makes pieces of p to q: inside and outside of tuplets for itself.
func (w *writer) cut(p, q score.Time, into func([]piece, cell, score.Time, score.Time) []piece) {
	w.pieces = w.pieces[:0]
	for p.Less(q) {
		i, end := w.spanAt(p, q)
		n := len(w.pieces)
		if i < 0 {
			w.pieces = into(w.pieces, w.meter.root, p, end)
		} else {
			s := &w.spans[i]
			w.pieces = into(w.pieces, s.written(), s.toWritten(p), s.toWritten(end))
			for j := range w.pieces[n:] {
				x := &w.pieces[n+j]
				x.from, x.to = s.toReal(x.from), s.toReal(x.to)
			}
		}
		for j := range w.pieces[n:] {
			w.pieces[n+j].span = i
		}
		p = end
	}
}

// spanAt is the index of the tuplet at p, or -1, and where it ends or the
// next begins, at most q.
func (w *writer) spanAt(p, q score.Time) (int, score.Time) {
	switch i := spanAfter(w.spans, p); {
	case i == len(w.spans):
		return -1, q
	case p.Less(w.spans[i].from):
		return -1, score.Min(w.spans[i].from, q)
	default:
		return i, score.Min(w.spans[i].to, q)
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
	}
	w.info = append(w.info, info{p.span, flags})
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
	e := w.add(piece{from: c.from, to: c.from, value: v, fits: true, span: -1})
	e.Grace, e.Staff, e.Notes = true, c.notes[0].Staff, w.written(c.notes, true, true)
}

// brackets marks the ends of tuplets. One that has lost all but one event
// shows none.
func (w *writer) brackets() {
	for i := range w.events {
		s := w.info[i].span
		if s < 0 || !w.spans[s].bracket() {
			continue
		}
		start := !w.inSpan(s, i-1, -1)
		stop := !w.inSpan(s, i+1, +1)
		w.events[i].TupletStart, w.events[i].TupletStop = start && !stop, stop && !start
	}
}

// inSpan tells whether the next event from i on, grace notes apart, is in
// span s.
func (w *writer) inSpan(s, i, step int) bool {
	for i >= 0 && i < len(w.events) && w.events[i].Grace {
		i += step
	}
	return i >= 0 && i < len(w.events) && w.info[i].span == s
}
