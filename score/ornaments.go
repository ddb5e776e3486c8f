package score

import (
	"cmp"
	"slices"
)

// How fast ornaments are played.
var (
	ornamentStep = Frac(1, 8)  // a 32nd note
	arpeggioStep = Frac(1, 16) // a 64th note
)

// turns are the ornaments that are a fixed figure, in steps from their note.
var turns = map[string][]int{
	"mordent": {0, -1, 0}, "inverted-mordent": {0, 1, 0},
	"turn": {1, 0, -1, 0}, "inverted-turn": {-1, 0, 1, 0},
}

// playedOut is the strokes that mark m makes of one, nil for a mark that
// changes nothing. step gives the pitch so many steps from the note.
func (m *Mark) playedOut(s Strike, step func(int) Pitch) []Strike {
	switch {
	case m.Name == "trill-mark":
		return s.repeated(s.Onset, s.End(), ornamentStep, []Pitch{step(0), step(1)})
	case m.Name == "tremolo" && m.Type == "start":
		return s.repeated(s.Onset, s.End().Add(s.Length), ornamentStep.Mul(2, 1), []Pitch{s.Pitch})
	case m.Name == "tremolo" && m.Type == "stop":
		// Each of the two notes is written with half of the time.
		begin := s.Onset.Sub(s.Length).Add(ornamentStep)
		return s.repeated(begin, s.End(), ornamentStep.Mul(2, 1), []Pitch{s.Pitch})
	case m.Name == "tremolo":
		return s.repeated(s.Onset, s.End(), ornamentStep, []Pitch{s.Pitch})
	}
	if figure, ok := turns[m.Name]; ok {
		return s.turned(figure, step)
	}
	return nil
}

// maxOrnament is the most strokes of one note, for hostile lengths.
const maxOrnament = 1 << 12

// repeated strikes pitches in turn from one time to another.
func (s Strike) repeated(from, to, every Time, pitches []Pitch) []Strike {
	var all []Strike
	for at := from; at.Less(to) && len(all) < maxOrnament; at = at.Add(every) {
		s.Onset, s.Length, s.Pitch = at, Min(every, to.Sub(at)), pitches[len(all)%len(pitches)]
		all = append(all, s)
	}
	return all
}

// turned plays a figure that ends on the note itself, which keeps the rest of
// the time.
func (s Strike) turned(figure []int, step func(int) Pitch) []Strike {
	every := Min(ornamentStep, s.Length.Mul(1, int64(len(figure))))
	end := s.End()
	var all []Strike
	for _, letters := range figure {
		s.Length, s.Pitch = every, step(letters)
		all = append(all, s)
		s.Onset = s.Onset.Add(every)
	}
	last := &all[len(all)-1]
	last.Length = end.Sub(last.Onset)
	return all
}

// lane is a voice at one moment.
type lane struct {
	part, staff, voice int
	onset              Time
}

// placeGraces puts grace notes, which stand at the onset of what they lead to,
// before it. They are in document order.
func placeGraces(strikes []Strike) {
	groups := map[lane][]*Strike{}
	for i := range strikes {
		if s := &strikes[i]; s.Note.Grace {
			l := lane{s.Part, s.Note.Staff, s.Note.Voice, s.Onset}
			groups[l] = append(groups[l], s)
		}
	}
	for l, group := range groups {
		slot := 0
		at := l.onset
		for i := len(group) - 1; i >= 0; i-- {
			s := group[i]
			if i == len(group)-1 || !group[i+1].Note.GraceChord {
				slot++
				at = at.Sub(ornamentStep)
			}
			s.Onset, s.Length = at, ornamentStep
		}
	}
}

// arpeggio is a chord under one sign.
type arpeggio struct {
	part, number int
	onset        Time
}

// spreadArpeggios strikes the notes under arpeggio signs one after the other.
func spreadArpeggios(strikes []Strike) {
	chords := map[arpeggio][]*Strike{}
	for i := range strikes {
		s := &strikes[i]
		for _, m := range s.Note.Marks {
			if m.Name == "arpeggiate" && !s.Note.Grace {
				a := arpeggio{s.Part, m.Number, s.Onset}
				chords[a] = append(chords[a], s)
				break
			}
		}
	}
	for _, chord := range chords {
		slices.SortStableFunc(chord, func(a, b *Strike) int { return cmp.Compare(a.Pitch.MIDI(), b.Pitch.MIDI()) })
		shortest := chord[0].Length
		for _, s := range chord {
			shortest = Min(shortest, s.Length)
		}
		every := Min(arpeggioStep, shortest.Mul(1, int64(len(chord))))
		for i, s := range chord {
			late := every.Mul(int64(i), 1)
			s.Onset, s.Length = s.Onset.Add(late), s.Length.Sub(late)
		}
	}
}

// keyLine is the key signatures of a part, staff by staff, in time order.
type keyLine struct {
	at   [][]Time
	keys [][]KeySignature
}

func newKeyLine(p *Part, starts []Time) *keyLine {
	k := &keyLine{make([][]Time, p.Staves+1), make([][]KeySignature, p.Staves+1)}
	for i, m := range p.Measures {
		for _, c := range m.Keys {
			for staff := range k.at {
				if c.Staff == 0 || c.Staff == staff {
					k.at[staff] = append(k.at[staff], starts[i].Add(c.Onset))
					k.keys[staff] = append(k.keys[staff], c.Key)
				}
			}
		}
	}
	return k
}

// step is the written pitch so many steps from n in the key that holds there.
func (k *keyLine) step(n *Note, onset Time, letters int) Pitch {
	i, found := slices.BinarySearchFunc(k.at[n.Staff], onset, Time.Cmp)
	if !found {
		i--
	}
	var key KeySignature
	if i >= 0 {
		key = k.keys[n.Staff][i]
	}
	d := n.Pitch.Diatonic() + letters
	p := Pitch{Step: Step(mod(d, 7)), Octave: int8(floorDiv(d, 7))}
	p.Alter = key.Alter(p.Step)
	return p
}
