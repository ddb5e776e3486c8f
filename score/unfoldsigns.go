package score

import "slices"

// plainDirections takes the signs of jumps out of the directions, and the
// directions that are for other times.
func (l *leaf) plainDirections(o Played) {
	for i := len(l.Directions) - 1; i >= 0; i-- {
		d := l.Directions[i]
		plain, keep := d.plain()
		keep = keep && onlyAt(d.Sound.TimeOnly, o.Through)
		switch {
		case !keep:
			m := l.edit()
			m.Directions = slices.Delete(m.Directions, i, i+1)
		case plain.Source != d.Source:
			l.edit().Directions[i] = plain
		}
	}
}

// plain is d without the order of performance; keep is false when nothing is
// left. What is left of a changed direction has no Source.
func (d Direction) plain() (plain Direction, keep bool) {
	plain = d
	w := readFormWords(&d)
	s := &plain.Sound
	*s = Sound{Tempo: s.Tempo, Dynamics: s.Dynamics}
	if !w.any() && *s == d.Sound {
		return d, len(d.Signs) > 0 || d.Source != 0 || *s != Sound{}
	}
	if w.any() {
		plain.Signs = plainSigns(d.Signs, w.jump || w.toCoda)
	}
	plain.Source = 0
	return plain, len(plain.Signs) > 0 || *s != Sound{}
}

// plainSigns are the signs that are not about the order. The words of a jump
// may be spread over several signs, so all words beside one go.
func plainSigns(signs []Sign, allWords bool) []Sign {
	var plain []Sign
	for _, s := range signs {
		about := s.Name == "segno" || s.Name == "coda"
		if s.Name == "words" {
			var w formWords
			w.read(s.Text)
			about = allWords || w.any()
		}
		if !about {
			plain = append(plain, s)
		}
	}
	return plain
}

// plainBarlines takes repeats, endings and jumps out of the barlines and sets
// the barline of an end that was none as written.
func (l *leaf) plainBarlines(end, newEnd bool) {
	closed := false
	for i := len(l.Barlines) - 1; i >= 0; i-- {
		b := l.Barlines[i]
		plain := b.plain(end)
		closed = closed || plain.Style == finalBarline && plain.Location == "right"
		switch {
		case plain.Style == "" && plain.Source == 0:
			m := l.edit()
			m.Barlines = slices.Delete(m.Barlines, i, i+1)
		case plain != b:
			l.edit().Barlines[i] = plain
		}
	}
	if newEnd && !closed {
		m := l.edit()
		m.Barlines = slices.DeleteFunc(m.Barlines, func(b Barline) bool { return b.Location == "right" })
		m.Barlines = append(m.Barlines, Barline{Onset: m.Length, Location: "right", Style: finalBarline})
	}
}

const finalBarline = "light-heavy"

// plain is b as a barline between two measures, or at the end. One that is
// changed has no Source; one of which nothing is left has no style either.
func (b Barline) plain(end bool) Barline {
	p := Barline{Onset: b.Onset, Location: b.Location, Style: b.Style}
	switch {
	case end && b.Location == "right" && (b.Repeat != "" || b.Style == finalBarline):
		p.Style = finalBarline
	case b.Repeat != "" || b.Style == "heavy-light":
		p.Style = ""
	case b.Style == finalBarline:
		p.Style = "light-light"
	}
	unsigned := b
	unsigned.Source, unsigned.Times = 0, 0
	if p == unsigned {
		return b
	}
	return p
}
