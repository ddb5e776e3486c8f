package notation

import (
	"cmp"
	"slices"

	"undersong/score"
)

// Context is what holds when a measure begins: it is carried through a part
// from measure to measure.
type Context struct {
	time    score.TimeSignature
	keys    []score.KeySignature // by staff, the first staff first
	clefs   []score.Clef
	ottavas []int // octaves that the staff is written off its sound: -1 under an 8va
	begun   bool  // a measure has gone by
	numbers voiceNumbers
}

// NewContext is the context at the start of part. It looks through all of
// part once, to give each voice one number throughout.
func NewContext(part *score.Part) *Context {
	clefs := make([]score.Clef, part.Staves)
	for i := range clefs {
		clefs[i] = score.Treble
	}
	return &Context{
		keys:    make([]score.KeySignature, part.Staves),
		clefs:   clefs,
		ottavas: make([]int, part.Staves),
		numbers: newVoiceNumbers(part),
	}
}

// Advance moves c past m without engraving it.
func (c *Context) Advance(m *score.Measure) { c.advance(m) }

func (c *Context) advance(m *score.Measure) {
	for _, t := range m.Times {
		c.time = t.Time
	}
	for _, k := range m.Keys {
		setStaff(c.keys, k.Staff, k.Key)
	}
	for _, k := range m.Clefs {
		setStaff(c.clefs, k.Staff, k.Clef)
	}
	for _, o := range ottavas(m) {
		setStaff(c.ottavas, o.staff, o.octaves)
	}
	c.begun = true
}

// setStaff sets the value of one staff, or of all for staff 0.
func setStaff[T any](values []T, staff int, v T) {
	for i := range values {
		if staff == 0 || staff == i+1 {
			values[i] = v
		}
	}
}

// clefAt is the clef of a staff at an onset in m.
func (c *Context) clefAt(m *score.Measure, staff int, onset score.Time) score.Clef {
	clef := c.clefs[staff-1]
	for _, k := range m.Clefs {
		if k.Staff == staff && !onset.Less(k.Onset) {
			clef = k.Clef
		}
	}
	return clef
}

// ottava is a change of how far off the written octave is.
type ottava struct {
	onset   score.Time
	staff   int
	octaves int
}

// ottavas are those that start or stop in m, in order of time.
func ottavas(m *score.Measure) []ottava {
	var all []ottava
	for i := range m.Directions {
		d := &m.Directions[i]
		for _, s := range d.Signs {
			if s.Name != "octave-shift" {
				continue
			}
			octaves := 0
			switch s.Type {
			case "down": // the notes are written lower than they sound
				octaves = -(s.Size - 1) / 7
			case "up":
				octaves = (s.Size - 1) / 7
			}
			all = append(all, ottava{d.Onset, max(d.Staff, 1), octaves})
		}
	}
	slices.SortStableFunc(all, func(a, b ottava) int { return a.onset.Cmp(b.onset) })
	return all
}

// voiceNumbers gives each voice of a part one number throughout.
type voiceNumbers struct {
	home  map[int]int      // the staff that a voice begins on
	extra map[[2]int]int   // numbers for what overlaps in a voice, by voice and count
	used  map[int]struct{} // all numbers given
}

func newVoiceNumbers(part *score.Part) voiceNumbers {
	v := voiceNumbers{map[int]int{}, map[[2]int]int{}, map[int]struct{}{}}
	for _, m := range part.Measures {
		for i := range m.Notes {
			n := &m.Notes[i]
			if _, known := v.home[n.Voice]; !known {
				v.home[n.Voice] = n.Staff
				v.used[n.Voice] = struct{}{}
			}
		}
	}
	return v
}

// free is the first number from at up that no voice has.
func (v voiceNumbers) free(at int) int {
	for {
		if _, taken := v.used[at]; !taken {
			v.used[at] = struct{}{}
			return at
		}
		at++
	}
}

// overlap is the number for the k-th line beside a voice.
func (v voiceNumbers) overlap(voice, k int) int {
	key := [2]int{voice, k}
	if _, known := v.extra[key]; !known {
		v.extra[key] = v.free(voice + 1)
	}
	return v.extra[key]
}

// ofStaff is the number for the rests of a staff without notes.
func (v voiceNumbers) ofStaff(staff int) int {
	lowest := 0
	for voice, home := range v.home {
		if home == staff && (lowest == 0 || voice < lowest) {
			lowest = voice
		}
	}
	if lowest == 0 {
		lowest = v.free(4*staff - 3)
		v.home[lowest] = staff
	}
	return lowest
}

// lane is one line of a measure: chords and rests that follow each other.
type lane struct {
	number, staff int
	chords        []chord
}

// chord is notes struck and held together, or a rest of the score.
type chord struct {
	onset, length score.Time
	notes         []*score.Note // from low to high
	rest, grace   bool
}

func (c *chord) end() score.Time { return c.onset.Add(c.length) }

// lanes parts the notes of m into lines without overlap, at least one a
// staff.
func (c *Context) lanes(m *score.Measure) []lane {
	byVoice := map[int][]chord{}
	for _, ch := range chordsOf(m) {
		v := ch.notes[0].Voice
		byVoice[v] = append(byVoice[v], ch)
	}
	var lanes []lane
	seen := map[int]bool{}
	for voice, chords := range byVoice {
		for k, line := range apart(chords) {
			l := lane{voice, c.numbers.home[voice], line}
			if k > 0 {
				l.number = c.numbers.overlap(voice, k)
			}
			seen[l.staff] = true
			lanes = append(lanes, l)
		}
	}
	for staff := 1; staff <= len(c.keys); staff++ {
		if !seen[staff] {
			lanes = append(lanes, lane{number: c.numbers.ofStaff(staff), staff: staff})
		}
	}
	slices.SortFunc(lanes, func(a, b lane) int {
		return cmp.Or(cmp.Compare(a.staff, b.staff), cmp.Compare(a.number, b.number))
	})
	return lanes
}

// chordsOf gathers the notes of m that share voice, onset and length, in
// order of time, grace notes before what they lean on.
func chordsOf(m *score.Measure) []chord {
	type seat struct {
		voice         int
		onset, length score.Time
	}
	var chords []chord
	at := map[seat]int{}
	grace := map[int]int{} // the last grace note of each voice
	for i := range m.Notes {
		n := &m.Notes[i]
		joins := n.Kind != score.Rest && !n.Grace
		s := seat{n.Voice, n.Onset, n.Length}
		if k, known := at[s]; known && joins {
			chords[k].notes = append(chords[k].notes, n)
			continue
		}
		if k, known := grace[n.Voice]; known && n.GraceChord && chords[k].onset == n.Onset {
			chords[k].notes = append(chords[k].notes, n)
			continue
		}
		if joins {
			at[s] = len(chords)
		}
		if n.Grace {
			grace[n.Voice] = len(chords)
		}
		chords = append(chords, chord{n.Onset, n.Length, []*score.Note{n}, n.Kind == score.Rest, n.Grace})
	}
	slices.SortStableFunc(chords, func(a, b chord) int {
		return cmp.Or(a.onset.Cmp(b.onset), -compareBool(a.grace, b.grace))
	})
	for _, c := range chords {
		slices.SortStableFunc(c.notes, func(a, b *score.Note) int {
			return cmp.Compare(a.Pitch.Diatonic(), b.Pitch.Diatonic())
		})
	}
	return chords
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// apart parts chords in time order into lines without overlap. A rest that
// would overlap is no loss.
func apart(chords []chord) [][]chord {
	var lines [][]chord
	for _, c := range chords {
		free := slices.IndexFunc(lines, func(l []chord) bool {
			last := &l[len(l)-1]
			return !c.onset.Less(last.end())
		})
		switch {
		case free >= 0:
			lines[free] = append(lines[free], c)
		case !c.rest:
			lines = append(lines, []chord{c})
		case len(lines) == 0:
			lines = append(lines, []chord{c})
		}
	}
	return lines
}
