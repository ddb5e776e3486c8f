package notation

import (
	"cmp"
	"slices"

	"undersong/score"
)

// line is one line or space of a staff.
type line struct {
	staff, diatonic int
}

// unclear marks a line on which two alterations were struck at once: what
// follows must say again which it means.
const unclear score.Alter = 9999

// staffState is what the reader of the staves remembers within a measure.
type staffState struct {
	keys    []score.KeySignature
	ottavas []int
	// shown is by true octave, seen by the octave on the page, which differ
	// under an ottava.
	shown, seen map[line]score.Alter
}

// struck is a note as it comes to the reader's eye.
type struck struct {
	onset score.Time
	grace bool
	note  *Note
}

// setAccidentals gives each note the accidental that it needs: where its
// alteration is not what the key signature or the last accidental on its
// line says. A note tied to the one before needs none and says nothing to
// those that follow.
func setAccidentals(voices []Voice, m *score.Measure, ctx *Context) {
	s := &staffState{
		keys: slices.Clone(ctx.keys), ottavas: slices.Clone(ctx.ottavas),
		shown: map[line]score.Alter{}, seen: map[line]score.Alter{},
	}
	notes := inReadingOrder(voices)
	changes := ottavas(m)
	keys := slices.Clone(m.Keys)
	for i := 0; i < len(notes); {
		end := i + 1
		for end < len(notes) && notes[end].onset == notes[i].onset && !notes[i].grace && !notes[end].grace {
			end++
		}
		for len(keys) > 0 && !notes[i].onset.Less(keys[0].Onset) {
			s.key(keys[0])
			keys = keys[1:]
		}
		for len(changes) > 0 && !notes[i].onset.Less(changes[0].onset) {
			setStaff(s.ottavas, changes[0].staff, changes[0].octaves)
			changes = changes[1:]
		}
		s.strike(notes[i:end])
		i = end
	}
}

func inReadingOrder(voices []Voice) []struck {
	var notes []struck
	for i := range voices {
		for j := range voices[i].Events {
			e := &voices[i].Events[j]
			for k := range e.Notes {
				if n := &e.Notes[k]; n.Note.Kind == score.Pitched {
					notes = append(notes, struck{e.Onset, e.Grace, n})
				}
			}
		}
	}
	slices.SortStableFunc(notes, func(a, b struck) int {
		return cmp.Or(a.onset.Cmp(b.onset), -compareBool(a.grace, b.grace))
	})
	return notes
}

// key begins a key signature: all accidentals are forgotten.
func (s *staffState) key(k score.KeyChange) {
	setStaff(s.keys, k.Staff, k.Key)
	for _, state := range []map[line]score.Alter{s.shown, s.seen} {
		for l := range state {
			if k.Staff == 0 || l.staff == k.Staff {
				delete(state, l)
			}
		}
	}
}

// strike reads what is struck at one moment.
func (s *staffState) strike(notes []struck) {
	now := map[line]score.Alter{}
	for _, x := range notes {
		p, staff := x.note.Note.Pitch, x.note.Note.Staff
		l := line{staff, p.Diatonic()}
		if alter, twice := now[l]; twice && alter != p.Alter {
			now[l] = unclear
		} else {
			now[l] = p.Alter
		}
	}
	for _, x := range notes {
		s.accidental(x.note, now)
	}
	for _, x := range notes {
		if x.note.Accidental == "" {
			continue
		}
		p, staff := x.note.Note.Pitch, x.note.Note.Staff
		l, page := s.lines(staff, p)
		s.shown[l], s.seen[page] = now[l], now[l]
	}
}

// lines are the line of a pitch by true octave and by the octave on the page.
func (s *staffState) lines(staff int, p score.Pitch) (true_, page line) {
	d := p.Diatonic()
	return line{staff, d}, line{staff, d + 7*s.ottavas[staff-1]}
}

func (s *staffState) accidental(n *Note, now map[line]score.Alter) {
	p, staff := n.Note.Pitch, n.Note.Staff
	if n.TieStop {
		return
	}
	l, page := s.lines(staff, p)
	needed := now[l] == unclear || s.expected(s.shown, l, p.Step) != p.Alter || s.expected(s.seen, page, p.Step) != p.Alter
	if needed || n.Note.Courtesy {
		n.Accidental = accidentalName(p.Alter)
		n.Cautionary = !needed
	}
}

func (s *staffState) expected(state map[line]score.Alter, l line, step score.Step) score.Alter {
	if a, ok := state[l]; ok {
		return a
	}
	return s.keys[l.staff-1].Alter(step)
}

var accidentalNames = map[score.Alter]string{
	0: "natural", 100: "sharp", -100: "flat", 200: "double-sharp", -200: "flat-flat",
	300: "triple-sharp", -300: "triple-flat",
	50: "quarter-sharp", -50: "quarter-flat", 150: "three-quarters-sharp", -150: "three-quarters-flat",
}

// accidentalName is MusicXML's name of an accidental, "other" for what lies
// between the quarter-tones.
func accidentalName(a score.Alter) string {
	if name, ok := accidentalNames[a]; ok {
		return name
	}
	return "other"
}
