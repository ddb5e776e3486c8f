package voicing

import (
	"cmp"
	"fmt"
	"slices"

	"undersong/score"
)

// carrySigns sends what is written at notes and over staves to its place in the
// result: marks go with their notes, the words with the melody, tempo,
// rehearsal marks and chord symbols above the manual staff. Signs for another
// instrument's hands and feet, and lines that have lost an end, are left out.
func (a *arrangement) carrySigns() {
	onChord := map[chordMark]bool{}
	for _, n := range a.notes {
		if n.struck() {
			a.carryMarks(n, onChord)
		}
	}
	a.keepNoteLines()
	over := overStaves{a, map[written]bool{}, map[said]staffOf{}}
	for part, p := range a.source.Parts {
		var by score.Transposition
		for i, m := range p.Measures {
			by = transpositionAfter(m, by)
			if a.asWritten[i] {
				continue
			}
			over.carryDirections(part, i, m)
			over.carryChords(i, m, by)
			a.leaveOutOthers(part, i, m)
		}
	}
	a.keepDirectionLines()
}

// chordMark is a sign that a chord of the result shows once, whichever of its
// notes brought it; without a line one of a chord of the source.
type chordMark struct {
	line  line
	onset score.Time
	name  string
}

// carryMarks leaves out the signs of n that mean nothing on bells, nothing without
// the notes that are gone, or nothing more on a chord that shows them already.
func (a *arrangement) carryMarks(n *note, onChord map[chordMark]bool) {
	for _, piece := range n.Pieces {
		for _, m := range piece.Note.Marks {
			why := ""
			switch {
			case m.Group == "technical":
				why = "a sign for other hands or another instrument"
			case n.seat == feet && m.Group == "ornaments":
				why = "not for the feet"
			case (m.Name == "arpeggiate" || m.Name == "non-arpeggiate") && a.markedTogether(n, m.Name) < 3:
				mark := chordMark{onset: a.starts[piece.Measure].Add(piece.Note.Onset), name: m.Name}
				if onChord[mark] {
					a.leftOut[m.Source] = true // with that of another note of its chord
					break
				}
				onChord[mark] = true
				why = "a note or two in a hand are struck at once"
			case m.Name == "dynamics" && n.role != tune:
				why = "the level follows the melody's"
			case m.Name == "fermata" && n.line == lines[leftHand] && a.bears(n.Onset, lines[rightHand], m.Name):
				why = "the right hand has it already, over the same staff"
			case m.Group == "articulations" || m.Name == "fermata":
				mark := chordMark{n.line, n.Onset, m.Name}
				if onChord[mark] {
					why = "the chord has it already"
				}
				onChord[mark] = true
			}
			if why != "" {
				a.leaveOutSign(sign{m.Source, n.Part, n.Onset, m.Name, m.Type}, why)
			}
		}
		for _, l := range piece.Note.Lyrics {
			if n.role != tune {
				a.leaveOutSign(sign{l.Source, n.Part, n.Onset, "lyric", ""}, "words go with the melody only")
			}
		}
	}
}

// bears tells whether a note of a line that is struck at an onset has a mark.
func (a *arrangement) bears(onset score.Time, l line, mark string) bool {
	return slices.ContainsFunc(a.struckAt(onset), func(n *note) bool {
		return n.line == l && slices.ContainsFunc(n.Pieces, func(p score.Piece) bool {
			return slices.ContainsFunc(p.Note.Marks, func(m score.Mark) bool { return m.Name == mark })
		})
	})
}

// markedTogether counts the notes of n's chord in the result that bear a mark.
func (a *arrangement) markedTogether(n *note, mark string) int {
	count := 0
	for _, o := range a.struckAt(n.Onset) {
		if o.line == n.line && slices.ContainsFunc(o.First().Marks, func(m score.Mark) bool { return m.Name == mark }) {
			count++
		}
	}
	return count
}

// carryDirections carries what is written over the staves, once where several
// parts have the same. Dynamics and hairpins are left to [arrangement.balance].
func (o *overStaves) carryDirections(part, measure int, m *score.Measure) {
	for _, d := range m.Directions {
		var signs []score.Sign
		for _, s := range d.Signs {
			why := notForBells[s.Name]
			switch {
			case s.Name == "dynamics" || s.Name == "wedge":
			case why != "":
				o.leaveOutSign(sign{s.Source, part, o.starts[measure].Add(d.Onset), s.Name, s.Type}, why)
			case s.Name == "words" && o.saidElsewhere(measure, s.Text, staffOf{part, d.Staff}):
			case !o.again(written{measure: measure, onset: d.Onset, name: s.Name, text: s.Text, kind: s.Type}):
				signs = append(signs, s)
			}
		}
		d.Signs = signs
		d.Sound.Dynamics = 0 // the levels are new
		if len(signs) == 0 {
			if d.Sound == (score.Sound{}) || o.again(written{measure: measure, onset: d.Onset, name: "sound", sound: d.Sound}) {
				continue
			}
		}
		d.Staff, d.Voice = 1, 0
		if d.Placement == "" {
			d.Placement = "above"
		}
		o.directions = append(o.directions, placedDirection{measure, d})
	}
}

var notForBells = map[string]string{
	"pedal":                  "a piano's sustain pedal: bells ring on by themselves",
	"octave-shift":           "notes are written where they are played",
	"damp":                   "bells cannot be damped",
	"damp-all":               "bells cannot be damped",
	"harp-pedals":            "a sign for another instrument",
	"string-mute":            "a sign for another instrument",
	"scordatura":             "a sign for another instrument",
	"accordion-registration": "a sign for another instrument",
	"percussion":             "a sign for another instrument",
}

// overStaves is what stands over the staves of the result so far.
type overStaves struct {
	*arrangement
	there map[written]bool
	said  map[said]staffOf // words, and whose they are
}

// written is a thing over the staves, at its place: what several parts have
// is written once.
type written struct {
	measure          int
	onset            score.Time
	name, text, kind string
	sound            score.Sound
}

// again tells whether w has been written before, and notes that it has now.
func (o *overStaves) again(w written) bool {
	was := o.there[w]
	o.there[w] = true
	return was
}

// said are words of one measure.
type said struct {
	measure int
	text    string
}

// staffOf is a staff of a part of the source.
type staffOf struct{ part, staff int }

// saidElsewhere tells whether another staff has had the same words in the measure,
// which then are for all, and else notes that this one has.
func (o *overStaves) saidElsewhere(measure int, text string, by staffOf) bool {
	words := said{measure, text}
	first, found := o.said[words]
	if !found {
		o.said[words] = by
	}
	return found && first != by
}

// carryChords carries the chord symbols, those of a transposing part at concert
// pitch.
func (o *overStaves) carryChords(measure int, m *score.Measure, by score.Transposition) {
	for _, c := range m.Chords {
		c.Root, c.Bass = atConcert(c.Root, by), atConcert(c.Bass, by)
		text := c.Root.String() + c.Bass.String() + fmt.Sprint(c.Degrees)
		if !o.again(written{measure: measure, onset: c.Onset, name: "harmony", text: text, kind: c.Kind}) {
			c.Staff = 1
			o.chords = append(o.chords, placedChord{measure, c})
		}
	}
}

// atConcert is the name of a chord's root or bass at concert pitch.
func atConcert(p score.Pitch, by score.Transposition) score.Pitch {
	p = p.Transpose(by.Letters, by.Semitones)
	p.Octave = 0
	return p
}

// laidOutAnew are carried things that only describe the old page or the old
// part.
var laidOutAnew = map[string]string{
	"print":         "the page is laid out anew",
	"staff-details": "the staves are new",
	"part-symbol":   "the staves are new",
	"instruments":   "the instrument is new",
	"figured-bass":  "the bass is not the one it belongs to",
	"measure-style": "the music is written out",
}

func (a *arrangement) leaveOutOthers(part, measure int, m *score.Measure) {
	for _, o := range m.Others {
		why := laidOutAnew[o.Name]
		if why == "" {
			why = "has no place in a carillon score"
		}
		a.leaveOutSign(sign{o.Source, part, a.starts[measure].Add(o.Onset), o.Name, ""}, why)
	}
}

// end is one end of a line over notes or staves.
type end struct {
	sign
	number  int // in the source
	measure int
	note    *note // nil for a line over staves
}

// noteLines are the signs at notes that need both their ends.
var noteLines = map[string]bool{"slur": true, "glissando": true, "slide": true, "wavy-line": true, "tremolo": true}

// keepNoteLines keeps the lines both of whose notes are in the same line of the
// result, and numbers them anew.
func (a *arrangement) keepNoteLines() {
	var ends []end
	for _, n := range a.notes {
		if n.way == nil {
			continue
		}
		for _, piece := range n.Pieces {
			for _, m := range piece.Note.Marks {
				if noteLines[m.Name] && (m.Type == "start" || m.Type == "stop") {
					at := a.starts[piece.Measure].Add(piece.Note.Onset)
					ends = append(ends, end{sign{m.Source, n.Part, at, m.Name, m.Type}, m.Number, piece.Measure, n})
				}
			}
		}
	}
	a.keepLines(ends)
}

// keepDirectionLines does the same for the dashes and brackets over the staves.
func (a *arrangement) keepDirectionLines() {
	var ends []end
	for _, p := range a.directions {
		for _, s := range p.Signs {
			if s.Name == "dashes" || s.Name == "bracket" {
				at := a.starts[p.measure].Add(p.Onset)
				ends = append(ends, end{sign{s.Source, 0, at, s.Name, s.Type}, s.Number, p.measure, nil})
			}
		}
	}
	a.keepLines(ends)
	for i := range a.directions {
		signs := a.directions[i].Signs[:0]
		for _, s := range a.directions[i].Signs {
			if a.leftOut[s.Source] {
				continue
			}
			if number := a.renumbered[s.Source]; number > 0 {
				s.Number = number
			}
			signs = append(signs, s)
		}
		a.directions[i].Signs = signs
	}
	a.directions = slices.DeleteFunc(a.directions, func(p placedDirection) bool {
		return len(p.Signs) == 0 && p.Sound == (score.Sound{})
	})
}

// pair is a line with both its ends.
type pair struct{ from, to end }

// keepLines pairs ends by part, name and number, within a voice where they can be, leaves
// out what has no partner in the result and gives new numbers to the rest.
func (a *arrangement) keepLines(ends []end) {
	slices.SortStableFunc(ends, func(x, y end) int {
		return cmp.Or(x.onset.Cmp(y.onset), cmp.Compare(x.Source, y.Source))
	})
	open := map[string][]end{}
	var kept []pair
	for _, e := range ends {
		key := fmt.Sprint(e.part, e.name, e.number)
		i := slices.IndexFunc(open[key], func(o end) bool { return o.voice() == e.voice() })
		if e.kind == "start" {
			if i >= 0 {
				a.loseEnd(open[key][i])
				open[key] = slices.Delete(open[key], i, i+1)
			}
			open[key] = append(open[key], e)
			continue
		}
		if i < 0 {
			i = len(open[key]) - 1 // from another voice, if from any
		}
		if i < 0 {
			a.loseEnd(e)
			continue
		}
		p := pair{open[key][i], e}
		open[key] = slices.Delete(open[key], i, i+1)
		if p.stays() {
			kept = append(kept, p)
		} else {
			a.loseEnd(p.from)
			a.loseEnd(p.to)
		}
	}
	for _, e := range ends {
		if slices.ContainsFunc(open[fmt.Sprint(e.part, e.name, e.number)], func(o end) bool { return o.Source == e.Source }) {
			a.loseEnd(e)
		}
	}
	a.number(kept)
}

// voice is that of the source in which a line over notes has its end.
func (e *end) voice() line {
	if e.note == nil {
		return line{}
	}
	n := e.note.First()
	return line{n.Staff, n.Voice}
}

// endGone is why an end of a line is left out.
const endGone = "its other end is gone"

func (a *arrangement) loseEnd(e end) {
	a.leaveOutSign(e.sign, endGone)
}

// stays tells whether both ends are in one line of the result, at two notes, the
// one after the other: what is tied together within a measure is written as one.
func (p pair) stays() bool {
	f, t := p.from.note, p.to.note
	if f == nil {
		return true
	}
	one := f == t && p.from.measure == p.to.measure
	if f != t { // one of them may be struck later than in the source
		one = !f.Onset.Less(t.Onset) && !(f.grace() && f.Onset == t.Onset)
	}
	return f.leftOut == "" && t.leftOut == "" && f.line == t.line && !one
}

// number gives lines that overlap different numbers. A number is used again
// in a later measure only, since a reader meets the voices of a measure one
// after the other.
func (a *arrangement) number(lines []pair) {
	slices.SortStableFunc(lines, func(x, y pair) int { return x.from.onset.Cmp(y.from.onset) })
	type use struct {
		line    line
		measure int
		end     score.Time
	}
	used := map[string][]use{}
	for _, p := range lines {
		mine := use{measure: p.to.measure, end: p.to.onset}
		if p.from.note != nil {
			mine.line = p.from.note.line
		}
		slots := used[p.from.name]
		i := slices.IndexFunc(slots, func(u use) bool {
			return u.measure < p.from.measure || u.line == mine.line && !p.from.onset.Less(u.end)
		})
		if i < 0 {
			i = len(slots)
			slots = append(slots, use{})
		}
		slots[i] = mine
		used[p.from.name] = slots
		a.renumbered[p.from.Source], a.renumbered[p.to.Source] = i+1, i+1
	}
}
