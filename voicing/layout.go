package voicing

import (
	"cmp"
	"maps"
	"slices"

	"undersong/score"
)

// line is a voice of the result.
type line struct{ staff, voice int }

// The lines: the manual staff has a voice for each hand, the pedal staff one
// for both feet. Treble clef for the manual, bass clef for the pedals (J.
// Gouwens, "Playing the Carillon", App. B).
var lines = [...]line{rightHand: {1, 1}, leftHand: {1, 2}, feet: {2, 5}}

// stem is up for the right hand and down for the left: common practice, no
// source.
func (s seat) stem() score.Stem {
	return [...]score.Stem{rightHand: score.StemUp, leftHand: score.StemDown, feet: score.StemAuto}[s]
}

// stem is n's: that of its line, which a figure that goes between the hands has too.
func (n *note) stem() score.Stem {
	switch {
	case n.role == tune:
		return n.home.stem()
	case n.figure:
		return rightHand.stem()
	}
	return n.seat.stem()
}

// layOut writes the arrangement down as a carillon score of one part.
func (a *arrangement) layOut() *score.Score {
	src := a.source
	part := &score.Part{ID: "P1", Name: "Carillon", Staves: 2}
	var by score.Transposition
	for i, lead := range leadPart(src).Measures {
		by = transpositionAfter(lead, by)
		if a.asWritten[i] {
			part.Measures = append(part.Measures, lead)
			continue
		}
		m := &score.Measure{Length: a.starts[i+1].Sub(a.starts[i])}
		frame(m, lead, by)
		part.Measures = append(part.Measures, m)
	}
	a.writeClefs(part)
	if !a.partly {
		part.Measures[0].Transposes = []score.TransposeChange{{Transposition: score.Interval(a.tower.SoundingOffset())}}
	} else {
		part.ID = src.Parts[0].ID // of measures that are used as they are
	}
	a.writeNotes(part)
	for _, d := range a.directions {
		m := part.Measures[d.measure]
		m.Directions = append(m.Directions, d.Direction)
	}
	for _, c := range a.chords {
		m := part.Measures[c.measure]
		m.Chords = append(m.Chords, c.ChordSymbol)
	}
	a.closeSeams(part)
	return &score.Score{
		Title: src.Title, Movement: src.Movement, Composers: src.Composers, Rights: src.Rights,
		Parts: []*score.Part{part},
	}
}

// closeSeams ends ties and lines between measures that are left as written and
// those that are voiced.
func (a *arrangement) closeSeams(part *score.Part) {
	var seams []int
	for i := 1; i < len(part.Measures); i++ {
		if a.asWritten[i] != a.asWritten[i-1] {
			seams = append(seams, i)
		}
	}
	a.pass = "signs"
	for _, e := range part.CloseSeams(leadPart(a.source), seams) {
		a.leaveOutSign(sign{e.Source, 0, a.starts[e.Measure].Add(e.Onset), e.Name, e.Type}, endGone)
	}
}

// leadPart is the part whose measures give the result's numbers, signatures,
// repeats and endings: the longest, the first of these.
func leadPart(s *score.Score) *score.Part {
	return slices.MaxFunc(s.Parts, func(p, q *score.Part) int { return cmp.Compare(len(p.Measures), len(q.Measures)) })
}

// transpositionAfter is what a part transposes by, on its first staff, after a
// measure that it entered transposing by before.
func transpositionAfter(m *score.Measure, before score.Transposition) score.Transposition {
	for _, c := range m.Transposes {
		if c.Staff <= 1 {
			before = c.Transposition
		}
	}
	return before
}

// fifths is a key signature at concert pitch; beyond seven sharps or flats it
// is the enharmonic one.
func fifths(by score.Transposition, from int) int {
	to := from + 7*by.Semitones - 12*by.Letters
	for to > 7 {
		to -= 12
	}
	for to < -7 {
		to += 12
	}
	return to
}

// writeClefs writes the clefs of the keyboards where a voiced section begins,
// and those of the source where one begins that is left as written.
func (a *arrangement) writeClefs(part *score.Part) {
	source := map[int]score.Clef{}
	for i, m := range part.Measures {
		for _, c := range leadPart(a.source).Measures[i].Clefs {
			source[c.Staff] = c.Clef
		}
		if a.asWritten[i] {
			continue
		}
		if i == 0 || a.asWritten[i-1] {
			m.Clefs = append(m.Clefs, score.ClefChange{Staff: 1, Clef: score.Treble}, score.ClefChange{Staff: 2, Clef: score.Bass})
		}
		if i+1 < len(part.Measures) && a.asWritten[i+1] {
			for _, staff := range slices.Sorted(maps.Keys(source)) {
				m.Clefs = append(m.Clefs, score.ClefChange{Onset: m.Length, Staff: staff, Clef: source[staff]})
			}
		}
	}
}

// frame copies what a measure has besides notes. Signatures of a transposing
// part are brought to concert pitch.
func frame(m, lead *score.Measure, by score.Transposition) {
	m.Number, m.Implicit = lead.Number, lead.Implicit
	m.Barlines = lead.Barlines
	for _, t := range lead.Times {
		if t.Staff <= 1 {
			t.Staff = 0
			m.Times = append(m.Times, t)
		}
	}
	for _, k := range lead.Keys {
		if k.Staff > 1 {
			continue
		}
		k.Staff = 0
		if to := fifths(by, k.Key.Fifths); to != k.Key.Fifths && !k.Key.Free {
			k.Key.Fifths = to
			k.Source = 0
		}
		m.Keys = append(m.Keys, k)
	}
}

// writeNotes puts every note that is played into its measures, tied over the
// barlines that it crosses.
func (a *arrangement) writeNotes(part *score.Part) {
	played := a.played()
	begin := make([]int, len(part.Measures)) // how many notes, by measure
	for _, n := range played {
		begin[n.Pieces[0].Measure]++
	}
	for i, m := range part.Measures {
		if begin[i] > 0 {
			m.Notes = slices.Grow(m.Notes, begin[i])
		}
	}
	for k, n := range played {
		laid := a.tied(n)
		laid[0].note.GraceChord = k > 0 && n.joins(played[k-1])
		for _, i := range laid {
			m := part.Measures[i.measure]
			m.Notes = append(m.Notes, i.note)
		}
	}
}

type laidNote struct {
	measure int
	note    score.Note
}

// tied cuts n at barlines. Marks of a written piece go with what is written
// in its measure.
func (a *arrangement) tied(n *note) []laidNote {
	first := n.First()
	base := score.Note{
		Staff: n.line.staff, Voice: n.line.voice, Stem: n.stem(), Pitch: n.placed(), Grace: n.grace(), GraceValue: first.GraceValue,
	}
	var laid []laidNote
	at, end := n.Onset, n.Onset.Add(n.written)
	for i := n.Pieces[0].Measure; ; i++ {
		note := base
		if i+2 < len(a.starts) && a.asWritten[i+1] {
			end = score.Min(end, a.starts[i+1]) // the bell rings on into it
		}
		stop := score.Min(end, a.starts[i+1])
		note.Onset, note.Length = at.Sub(a.starts[i]), stop.Sub(at)
		note.TieStop, note.TieStart = len(laid) > 0, stop.Less(end)
		a.dress(&note, n, i)
		laid = append(laid, laidNote{i, note})
		if !stop.Less(end) || i+2 >= len(a.starts) {
			break
		}
		at = stop
	}
	laid[0].note.Courtesy = first.Courtesy
	if n.helped {
		laid[0].note.Marks = accented(laid[0].note.Marks)
	}
	// Where some measures are left as written, whose melody is not marked, none is.
	marked := n.role == tune && !a.partly
	laid[0].note.Melody, laid[0].note.Interlude = marked && !n.interlude, marked && n.interlude
	return laid
}

// accented are marks with an accent: among softer notes of its staff one of the melody
// stands out.
func accented(marks []score.Mark) []score.Mark {
	if slices.ContainsFunc(marks, func(m score.Mark) bool { return m.Name == "accent" || m.Name == "strong-accent" }) {
		return marks
	}
	return append(marks, score.Mark{Group: "articulations", Name: "accent"})
}

// alone is a syllable that stands on another staff than the rest of its word: drawn as
// one of that staff it would be joined to the next word there, however far away.
func alone(l score.Lyric) score.Lyric {
	if l.Syllabic == "begin" || l.Syllabic == "middle" {
		l.Text += "-"
	}
	l.Syllabic = "single"
	return l
}

// dress gives note the marks and words that its pieces have in the measure.
func (a *arrangement) dress(note *score.Note, n *note, measure int) {
	for _, p := range n.Pieces {
		if p.Measure != measure {
			continue
		}
		if note.Source == 0 {
			note.Source = p.Note.Source
			if den := note.Length.Den(); note.Length == p.Note.Length || den&(den-1) != 0 { // else it needs no tuplet any more
				note.Ratio, note.Outer = p.Note.Ratio, p.Note.Outer
			}
		}
		for _, m := range p.Note.Marks {
			if a.leftOut[m.Source] {
				continue
			}
			if number := a.renumbered[m.Source]; number > 0 {
				m.Number = number
			}
			note.Marks = append(note.Marks, m)
		}
		for _, l := range p.Note.Lyrics {
			if !a.leftOut[l.Source] {
				l.Above = note.Staff == 2
				if n.helped {
					l = alone(l)
				}
				note.Lyrics = append(note.Lyrics, l)
			}
		}
	}
}
