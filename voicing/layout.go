package voicing

import (
	"cmp"
	"slices"

	"undersong/score"
)

// The voices of the carillon score. The manual staff has two where melody
// and accompaniment share it.
const (
	upperVoice = 1
	lowerVoice = 2
	pedalVoice = 5
)

// staffOf is the staff of a keyboard: treble clef for the manual, bass clef
// for the pedals (J. Gouwens, "Playing the Carillon", App. B).
func staffOf(k Keyboard) int {
	if k == Pedals {
		return 2
	}
	return 1
}

// shared tells whether melody and accompaniment are on one keyboard.
func (a *Arrangement) shared() bool { return a.melodyOn == Manual }

// seatOf is where a role is written.
func (a *Arrangement) seatOf(r Role) (on Keyboard, voice int) {
	switch {
	case r == Bass:
		return Pedals, pedalVoice
	case a.shared() && r == Accompaniment:
		return Manual, lowerVoice
	case !a.shared() && r == Melody:
		return Pedals, pedalVoice
	}
	return Manual, upperVoice
}

// layOut writes the arrangement down as a carillon score of one part.
func (a *Arrangement) layOut() *score.Score {
	src := a.Source
	part := &score.Part{ID: "P1", Name: "Carillon", Staves: 2}
	var by score.Transposition
	for i, lead := range leadPart(src).Measures {
		m := &score.Measure{Length: a.starts[i+1].Sub(a.starts[i])}
		by = transpositionAfter(lead, by)
		frame(m, lead, by)
		part.Measures = append(part.Measures, m)
	}
	first := part.Measures[0]
	first.Clefs = []score.ClefChange{{Staff: 1, Clef: score.Treble}, {Staff: 2, Clef: score.Bass}}
	first.Transposes = []score.TransposeChange{{Transposition: score.Interval(a.Tower.SoundingOffset())}}
	a.writeNotes(part)
	for _, d := range a.Directions {
		m := part.Measures[d.Measure]
		m.Directions = append(m.Directions, d.Direction)
	}
	for _, c := range a.Chords {
		m := part.Measures[c.Measure]
		m.Chords = append(m.Chords, c.ChordSymbol)
	}
	return &score.Score{
		Title: src.Title, Movement: src.Movement, Composers: src.Composers, Rights: src.Rights,
		Parts: []*score.Part{part},
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
func (a *Arrangement) writeNotes(part *score.Part) {
	for _, n := range a.Notes {
		if n.LeftOut != "" {
			continue
		}
		for _, i := range a.spread(n) {
			m := part.Measures[i.measure]
			m.Notes = append(m.Notes, i.note)
		}
	}
}

type laidNote struct {
	measure int
	note    score.Note
}

// spread cuts n at barlines. Marks of a written piece go with what is written
// in its measure.
func (a *Arrangement) spread(n *Note) []laidNote {
	on, voice := a.seatOf(n.Role)
	first := n.First()
	base := score.Note{
		Staff: staffOf(on), Voice: voice, Pitch: n.PlacedPitch(), Grace: n.Grace(), GraceChord: first.GraceChord,
	}
	if a.shared() && on == Manual {
		// Stems up for the right hand, down for the left: common practice, no
		// source.
		base.Stem = score.StemUp
		if voice == lowerVoice {
			base.Stem = score.StemDown
		}
	}
	var laid []laidNote
	at, end := n.Onset, n.Onset.Add(n.Written)
	for i := n.Pieces[0].Measure; ; i++ {
		note := base
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
	return laid
}

// dress gives note the marks and words that its pieces have in the measure.
func (a *Arrangement) dress(note *score.Note, n *Note, measure int) {
	for _, p := range n.Pieces {
		if p.Measure != measure {
			continue
		}
		if note.Source == 0 {
			note.Source, note.Ratio = p.Note.Source, p.Note.Ratio
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
				note.Lyrics = append(note.Lyrics, l)
			}
		}
	}
}
