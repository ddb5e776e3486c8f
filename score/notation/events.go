package notation

import "undersong/score"

// events writes the lane down over the whole measure.
func (l *lane) events(g *grid) []Event {
	if len(l.chords) == 0 && g.length.Sign() > 0 {
		return []Event{l.measureRest(g, nil)}
	}
	if len(l.chords) == 1 && l.chords[0].rest && l.chords[0].length == g.length {
		return []Event{l.measureRest(g, l.chords[0].notes[0])}
	}
	w := &laneWriter{lane: l, grid: g, spans: l.spans(g)}
	for i := range l.chords {
		c := &l.chords[i]
		w.rests(c.onset, nil)
		switch {
		case c.grace:
			w.grace(c)
		case c.rest:
			w.rests(c.end(), c.notes[0])
		default:
			w.chord(c)
		}
	}
	w.rests(g.length, nil)
	w.brackets()
	setGraces(w.events)
	return w.events
}

func (l *lane) measureRest(g *grid, rest *score.Note) Event {
	e := Event{Length: g.length, Rest: rest, Staff: l.staff, MeasureRest: g.full}
	if !e.MeasureRest {
		e.Type, e.Dots, _ = value(g.length)
		e.MeasureRest = e.Type == ""
	}
	return e
}

// laneWriter writes a lane from left to right.
type laneWriter struct {
	*lane
	grid   *grid
	spans  []span
	at     score.Time
	events []Event
}

// spanAt is the tuplet that t falls in, counted from 1, or 0.
func (w *laneWriter) spanAt(t score.Time) (index int, ratio score.Ratio) {
	for i, s := range w.spans {
		if !t.Less(s.from) && t.Less(s.to) {
			return i + 1, s.ratio
		}
	}
	return 0, score.Ratio{}
}

// add writes one event of so much length.
func (w *laneWriter) add(length score.Time, e Event) {
	e.Onset, e.Length = w.at, length
	e.span, e.Ratio = w.spanAt(w.at)
	e.Type, e.Dots, _ = written(length, e.Ratio)
	if e.Type == "" {
		e.Ratio, e.span = score.Ratio{}, 0
	}
	w.events = append(w.events, e)
	w.at = w.at.Add(length)
}

// rests fills the time up to a moment. The rest of the score that is meant,
// if any, is kept on the first.
func (w *laneWriter) rests(to score.Time, rest *score.Note) {
	for w.at.Less(to) {
		length := w.restLength(to)
		if rest != nil && w.whole(rest.Length, to) {
			length = rest.Length
		}
		w.add(length, Event{Rest: rest, Staff: w.staff})
		rest = nil
	}
}

// whole tells whether a rest of the score can stand as it is.
func (w *laneWriter) whole(length, to score.Time) bool {
	i, r := w.spanAt(w.at)
	_, _, ok := written(length, r)
	inside := i == 0 && w.nextSpan(to) == to || i > 0 && !w.spans[i-1].to.Less(to)
	return ok && inside && w.at.Add(length) == to
}

// nextSpan is where the next tuplet begins, at most to.
func (w *laneWriter) nextSpan(to score.Time) score.Time {
	for _, s := range w.spans {
		if w.at.Less(s.from) {
			to = score.Min(to, s.from)
		}
	}
	return to
}

// restLength is the length of the next rest on the way to a moment: as long
// as the meter allows, so that no beat is hidden.
func (w *laneWriter) restLength(to score.Time) score.Time {
	if i, r := w.spanAt(w.at); i > 0 {
		left := score.Min(to, w.spans[i-1].to).Sub(w.at)
		if _, _, ok := written(left, r); ok {
			return left
		}
		return largest(left, r)
	}
	to = w.nextSpan(to)
	beat := w.grid.beat(w.at)
	start, end := w.grid.beats[beat], w.grid.beats[beat+1]
	if w.at == start && w.grid.paired && beat%2 == 0 {
		if _, half := w.grid.bounds(beat, 2); !to.Less(half) {
			return half.Sub(w.at)
		}
	}
	return partOfBeat(w.at.Sub(start), score.Min(to, end).Sub(start), end.Sub(start))
}

// partOfBeat is the longest plain value from a place in a beat that its
// division allows.
func partOfBeat(at, to, beat score.Time) score.Time {
	if at.Sign() == 0 && to == beat {
		return beat
	}
	unit := beat
	if compound(beat) {
		unit = beat.Mul(1, 3)
		if double := unit.Mul(2, 1); at.Sign() == 0 && !to.Less(double) {
			return double
		}
	}
	for range 10 {
		if at.Floor(unit) == at && !to.Less(at.Add(unit)) {
			return unit
		}
		unit = unit.Mul(1, 2)
	}
	return to.Sub(at)
}

// chord writes a chord in one value, or tied together from several.
func (w *laneWriter) chord(c *chord) {
	for first := true; w.at.Less(c.end()); first = false {
		length := w.pieceLength(c.end().Sub(w.at))
		last := w.at.Add(length) == c.end()
		w.add(length, Event{Notes: pieces(c.notes, first, last), Staff: c.notes[0].Staff})
	}
}

// pieceLength is how much of what is left of a note goes into one value: all
// if there is a value, else up to the next beat, else the longest that is
// plain.
func (w *laneWriter) pieceLength(left score.Time) score.Time {
	_, r := w.spanAt(w.at)
	if _, _, ok := written(left, r); ok {
		return left
	}
	next := w.grid.beats[w.grid.beat(w.at)+1].Sub(w.at)
	if _, _, ok := written(next, r); ok && next.Less(left) && next.Sign() > 0 {
		return next
	}
	if v := largest(left, r); plain(left) || r != (score.Ratio{}) && v.Less(left) {
		return v
	}
	return left
}

func pieces(notes []*score.Note, first, last bool) []Note {
	written := make([]Note, len(notes))
	for i, n := range notes {
		written[i] = Note{
			Note: n, First: first, Last: last,
			TieStop: n.TieStop || !first, TieStart: n.TieStart || !last,
		}
	}
	return written
}

func (w *laneWriter) grace(c *chord) {
	w.events = append(w.events, Event{
		Onset: c.onset, Grace: true, Staff: c.notes[0].Staff, Notes: pieces(c.notes, true, true),
	})
}

// brackets marks the first and last event of each tuplet.
func (w *laneWriter) brackets() {
	last := -1
	for i := range w.events {
		e := &w.events[i]
		if e.Grace {
			continue
		}
		if last < 0 || w.events[last].span != e.span {
			e.TupletStart = e.span > 0
			if last >= 0 {
				w.events[last].TupletStop = w.events[last].span > 0
			}
		}
		last = i
	}
	if last >= 0 {
		w.events[last].TupletStop = w.events[last].span > 0
	}
}

// setGraces writes single grace notes as eighths, rows of them as 16ths under
// a beam: common practice, no source.
func setGraces(events []Event) {
	for i := 0; i < len(events); i++ {
		if !events[i].Grace {
			continue
		}
		end := i
		for end < len(events) && events[end].Grace {
			end++
		}
		for j := i; j < end; j++ {
			events[j].Type = "eighth"
			if end-i > 1 {
				events[j].Type = "16th"
				sign := place(j, i, end-1)
				events[j].Beams = []string{sign, sign}
			}
		}
		i = end
	}
}

// place is the beam sign of element i of a row from first to last.
func place(i, first, last int) string {
	switch i {
	case first:
		return "begin"
	case last:
		return "end"
	}
	return "continue"
}
