package notation

import (
	"cmp"
	"math"
	"slices"

	"undersong/score"
)

// setAccidentals shows what the key and the measure so far do not say, staff
// by staff, over all voices in order of time.
func setAccidentals(voices []Voice, m *score.Measure, ctx *Context) {
	r := reading{
		keys:    slices.Clone(ctx.keys),
		ottavas: slices.Clone(ctx.ottavas),
		shown:   ctx.memory.shown[:0],
	}
	keys := inOrder(m.Keys, keyOnset)
	shifts := ottavas(m)
	struck := struckNotes(voices, ctx)
	for len(struck) > 0 {
		at := struck[0]
		for ; len(keys) > 0 && !at.onset.Less(keys[0].Onset); keys = keys[1:] {
			r.changeKey(keys[0])
		}
		for ; len(shifts) > 0 && !at.onset.Less(shifts[0].onset); shifts = shifts[1:] {
			setStaff(r.ottavas, shifts[0].staff, shifts[0].octaves)
		}
		n := 1
		for n < len(struck) && struck[n].with(at) {
			n++
		}
		r.strike(struck[:n])
		struck = struck[n:]
	}
	ctx.memory.shown = r.shown
}

// struck is a note that may show an accidental.
type struck struct {
	onset score.Time
	event int // of a grace note: its place among all events, less than notGrace
	note  *Note
}

const notGrace = math.MaxInt

// with tells whether two notes are read together: one chord of grace notes,
// or all that is struck at one moment.
func (s struck) with(t struck) bool { return s.onset == t.onset && s.event == t.event }

// struckNotes are the notes that are read for accidentals, in order. A note
// that is tied over is none, unless it reminds of its accidental.
func struckNotes(voices []Voice, ctx *Context) []struck {
	all := ctx.memory.struck[:0]
	event := 0
	for i := range voices {
		for j := range voices[i].Events {
			e := &voices[i].Events[j]
			s := struck{onset: e.Onset, event: notGrace}
			if event++; e.Grace {
				s.event = event
			}
			for k := range e.Notes {
				s.note = &e.Notes[k]
				if s.note.reads(e.Onset, ctx) {
					all = append(all, s)
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b struck) int {
		return cmp.Or(a.onset.Cmp(b.onset), cmp.Compare(a.event, b.event))
	})
	ctx.memory.struck = all
	return all
}

func (n *Note) reads(onset score.Time, ctx *Context) bool {
	if n.Note.Kind != score.Pitched || n.Note.Hidden || n.TieStop && !(n.First && n.Note.Courtesy) {
		return false
	}
	_, ok := ctx.clefAt(n.Note.Staff, onset).MiddleLine()
	return ok
}

// reading is what a reader knows of the accidentals at one moment.
type reading struct {
	keys    []score.KeySignature
	ottavas []int
	shown   shown
}

// shown are the accidentals shown since the barline or the last change of key.
type shown []accidental

type accidental struct {
	place   staffLine
	alter   score.Alter
	unclear bool // several were shown at once
}

// staffLine is a line or space of a staff, by the octave that sounds or by
// the one on the page: under an ottava these differ, and readers go by either.
type staffLine struct {
	staff, diatonic int
	page            bool
}

// changeKey begins a key signature: what was shown counts no more.
func (r *reading) changeKey(k score.KeyChange) {
	setStaff(r.keys, k.Staff, k.Key)
	r.shown = slices.DeleteFunc(r.shown, func(a accidental) bool {
		return k.Staff == 0 || k.Staff == a.place.staff
	})
}

// lines are where n stands.
func (r *reading) lines(n *Note) [2]staffLine {
	staff, d := n.Note.Staff, n.Note.Pitch.Diatonic()
	return [2]staffLine{{staff, d, false}, {staff, d + 7*r.ottavas[staff-1], true}}
}

// strike sets the accidentals of notes that are read together.
func (r *reading) strike(notes []struck) {
	for i, s := range notes {
		needed := r.needs(s.note)
		clash, shown := beside(notes, i)
		needed = clash || needed && !shown
		if needed || s.note.Note.Courtesy {
			s.note.Accidental = nameOf(s.note.Note.Pitch.Alter)
			s.note.Cautionary = !needed || s.note.TieStop
		}
	}
	for i, s := range notes {
		if s.note.Accidental == "" {
			continue
		}
		clash, _ := beside(notes, i)
		for _, l := range r.lines(s.note) {
			r.show(accidental{l, s.note.Note.Pitch.Alter, clash})
		}
	}
}

// needs tells whether the staff says otherwise than n.
func (r *reading) needs(n *Note) bool {
	p := n.Note.Pitch
	for _, l := range r.lines(n) {
		i := slices.IndexFunc(r.shown, func(a accidental) bool { return a.place == l })
		switch {
		case i < 0:
			if r.keys[l.staff-1].Alter(p.Step) != p.Alter {
				return true
			}
		case r.shown[i].unclear || r.shown[i].alter != p.Alter:
			return true
		}
	}
	return false
}

// beside tells whether another of the notes on the line of note i is
// altered otherwise, and whether one before it shows the same accidental.
func beside(notes []struck, i int) (clash, shown bool) {
	n := notes[i].note.Note
	for j, s := range notes {
		if j == i || s.note.Note.Staff != n.Staff || s.note.Note.Pitch.Diatonic() != n.Pitch.Diatonic() {
			continue
		}
		clash = clash || s.note.Note.Pitch.Alter != n.Pitch.Alter
		shown = shown || j < i && s.note.Accidental != ""
	}
	return clash, shown
}

func (r *reading) show(now accidental) {
	for i := range r.shown {
		if r.shown[i].place == now.place {
			r.shown[i] = now
			return
		}
	}
	r.shown = append(r.shown, now)
}

// nameOf is MusicXML's name of an accidental.
func nameOf(a score.Alter) string {
	switch a {
	case -300:
		return "triple-flat"
	case -200:
		return "flat-flat"
	case -150:
		return "three-quarters-flat"
	case -100:
		return "flat"
	case -50:
		return "quarter-flat"
	case 0:
		return "natural"
	case 50:
		return "quarter-sharp"
	case 100:
		return "sharp"
	case 150:
		return "three-quarters-sharp"
	case 200:
		return "double-sharp"
	case 300:
		return "triple-sharp"
	}
	return "other"
}
