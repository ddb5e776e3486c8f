// Package shorthand reads pieces for piano written down as lines of text, with their tune
// marked: what a melody finder is fitted to and tested on.
//
//	= The title
//	in 3 pickup 1 sharps -1 left hand
//	2 tune: C4=1 | F4=2 G4=1 | A4=3
//	1: r=1 | r=1 A4+C5=1/2x4 | r=1 A4+C5=1/2x4
//	phrases: 1
//
// The second line has the quarters in a measure, those of a shorter first one, the sharps of the
// signature, flats below zero, and the kind, which the package does not look at. Then each
// voice has a line, at most four to a staff: its staff, "tune" if it is the melody, a colon, and
// its notes. C#4=1/2 is a note of half a quarter, tied where it sounds over a barline; without =
// it is as long as the one before, the first a quarter. + joins a chord, of which in a tune
// the highest note is melody; r is a rest; x3 makes three of a note; | is for the eye only.
// Other lines are marks: a name, a colon and a text.
package shorthand

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undersong/score"
)

// Piece is a piece written down so.
type Piece struct {
	Title, Kind string
	Score       *score.Score // one part on two staves
	Melody      map[*score.Note]bool
	Marks       map[string]string // by name
	// Shortest and Longest are its shortest and longest voice, in quarters.
	Shortest, Longest score.Time
}

// Read reads all pieces of a text. An error tells title and line.
func Read(text string) ([]*Piece, error) {
	if !strings.HasPrefix(text, "= ") {
		return nil, errors.New("line 1: it begins with no title, such as \"= Minuet\"")
	}
	var all []*Piece
	line := 1
	for _, piece := range strings.Split(text[len("= "):], "\n= ") {
		p, err := readPiece(piece, line)
		if err != nil {
			return nil, err
		}
		all = append(all, p)
		line += strings.Count(piece, "\n") + 1
	}
	return all, nil
}

// readPiece reads a piece whose title is the given line of the text.
func readPiece(text string, line int) (*Piece, error) {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	p := &Piece{Title: lines[0], Melody: map[*score.Note]bool{}, Marks: map[string]string{}}
	fail := func(i int, err error) error {
		return fmt.Errorf("%s: line %d: %w", p.Title, line+i, err)
	}
	if len(lines) < 2 {
		return nil, fail(0, errors.New("a heading is to follow, such as \"in 3 other\""))
	}
	var head heading
	if err := head.read(lines[1]); err != nil {
		return nil, fail(1, err)
	}
	p.Kind = head.kind
	var notes []voiceNote
	var lengths []score.Time
	voices := map[string]int{} // by staff
	for i, line := range lines {
		if i < 2 || line == "" {
			continue
		}
		name, body, found := strings.Cut(line, ":")
		staff, tune := strings.CutSuffix(name, " tune")
		switch _, said := p.Marks[name]; {
		case staff == "1" || staff == "2":
			if voices[staff]++; voices[staff] > voicesOfStaff {
				return nil, fail(i, fmt.Errorf("staff %s has more than %d voices: join some as chords", staff, voicesOfStaff))
			}
			v := voice{template: score.Note{Staff: int(staff[0] - '0'), Voice: i - 1, Length: score.Quarter}, tune: tune}
			if err := v.readAll(body); err != nil {
				return nil, fail(i, err)
			}
			notes, lengths = append(notes, v.notes...), append(lengths, v.until)
		case !found || said || name == "" || '0' <= name[0] && name[0] <= '9':
			return nil, fail(i, fmt.Errorf("%q begins neither a voice, such as \"1 tune:\", nor a new mark", name))
		default:
			p.Marks[name] = strings.TrimSpace(body)
		}
	}
	if len(lengths) == 0 {
		return nil, fail(0, errors.New("no voice"))
	}
	p.Shortest, p.Longest = slices.MinFunc(lengths, score.Time.Cmp), slices.MaxFunc(lengths, score.Time.Cmp)
	p.fill(notes, head)
	return p, nil
}

// The limits keep a slip of the pen from making a piece without end.
var (
	shortest = score.Quarter.Mul(1, 4) // measure
	longest  = score.Quarters(100_000) // voice
)

// heading is the second line of a piece.
type heading struct {
	measure, pickup score.Time // lengths; no pickup is 0
	sharps          int
	kind            string
}

func (h *heading) read(line string) error {
	fields := map[string]func(value string) error{
		"in":     func(value string) error { return h.measure.UnmarshalText([]byte(value)) },
		"pickup": func(value string) error { return h.pickup.UnmarshalText([]byte(value)) },
		"sharps": func(value string) (err error) { h.sharps, err = strconv.Atoi(value); return err },
	}
	words := strings.Fields(line)
	for len(words) > 1 && fields[words[0]] != nil {
		if err := fields[words[0]](words[1]); err != nil {
			return err
		}
		words = words[2:]
	}
	h.kind = strings.Join(words, " ")
	if h.measure.Less(shortest) || h.pickup.Sign() < 0 || h.sharps < -7 || h.sharps > 7 {
		return fmt.Errorf("%q: a measure is a sixteenth at least, a pickup not below 0, and sharps are from -7 to 7", line)
	}
	return nil
}

// voice is a voice being read.
type voice struct {
	template score.Note // the note to come
	tune     bool
	notes    []voiceNote
	until    score.Time
}

// voiceNote is a note on the way into its measure.
type voiceNote struct {
	at   score.Time
	note score.Note
	tune bool
}

// readAll reads all of a voice.
func (v *voice) readAll(body string) error {
	for token := range strings.FieldsSeq(body) {
		if err := v.read(token); err != nil {
			return err
		}
	}
	if v.until.Sign() == 0 {
		return errors.New("a voice without notes")
	}
	if longest.Less(v.until) {
		return fmt.Errorf("a voice of more than %s quarters", longest)
	}
	return nil
}

// read reads a note, a chord or a rest, so many times.
func (v *voice) read(token string) error {
	if token == "|" {
		return nil
	}
	token, x, found := strings.Cut(token, "x")
	times := 1
	if found {
		var err error
		if times, err = strconv.Atoi(x); err != nil || times < 1 || times > 999 {
			return fmt.Errorf("%q is no number of times", x)
		}
	}
	token, length, found := strings.Cut(token, "=")
	if found {
		if err := v.template.Length.UnmarshalText([]byte(length)); err != nil {
			return err
		}
		if v.template.Length.Sign() <= 0 {
			return fmt.Errorf("%q is no length", length)
		}
	}
	var pitches []score.Pitch
	for name := range strings.SplitSeq(token, "+") {
		if name == "r" {
			continue
		}
		p, err := Pitch(name)
		if err != nil {
			return err
		}
		pitches = append(pitches, p)
	}
	for range times {
		v.strike(pitches)
	}
	return nil
}

// strike appends a chord, a note or, without pitches, a rest.
func (v *voice) strike(pitches []score.Pitch) {
	top := -1
	for _, p := range pitches {
		n := v.template
		n.Pitch = p
		v.notes = append(v.notes, voiceNote{v.until, n, false})
		if top < 0 || p.MIDI() > v.notes[top].note.Pitch.MIDI() {
			top = len(v.notes) - 1
		}
	}
	if top >= 0 {
		v.notes[top].tune = v.tune
	}
	v.until = v.until.Add(v.template.Length)
}

// fill puts the notes into measures, tied where they sound over a barline.
func (p *Piece) fill(notes []voiceNote, h heading) {
	part := &score.Part{ID: "P1", Name: "Piano", Staves: 2}
	length := h.measure
	if h.pickup.Sign() > 0 {
		length = h.pickup
	}
	for at := (score.Time{}); at.Less(p.Longest); {
		m := &score.Measure{Number: strconv.Itoa(len(part.Measures) + 1), Length: length}
		end := at.Add(length)
		var tune []bool
		var over, later []voiceNote
		for _, n := range notes {
			if !n.at.Less(end) {
				later = append(later, n)
				continue
			}
			n.note.Onset = n.at.Sub(at)
			if left := n.at.Add(n.note.Length).Sub(end); left.Sign() > 0 {
				rest := n
				rest.at, rest.note.Length, rest.note.TieStop = end, left, true
				over = append(over, rest)
				n.note.Length, n.note.TieStart = end.Sub(n.at), true
			}
			m.Notes, tune = append(m.Notes, n.note), append(tune, n.tune)
		}
		notes = append(over, later...)
		numberVoices(m.Notes)
		for i := range m.Notes {
			p.Melody[&m.Notes[i]] = tune[i]
		}
		part.Measures = append(part.Measures, m)
		at, length = end, h.measure
	}
	part.Measures[0].Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: h.sharps}}}
	p.Score = &score.Score{Title: p.Title, Parts: []*score.Part{part}}
}

// voicesOfStaff is how many voices a staff has at most.
const voicesOfStaff = 4

// numberVoices numbers the voices of a measure as in print, from high to low on each staff: a
// line that is alone there is its first voice, whatever it is elsewhere.
func numberVoices(notes []score.Note) {
	sum, count := map[int]int{}, map[int]int{} // pitches, by line
	lines := [3][]int{}                        // by staff
	for i := range notes {
		n := &notes[i]
		if count[n.Voice] == 0 {
			lines[n.Staff] = append(lines[n.Staff], n.Voice)
		}
		sum[n.Voice] += n.Pitch.MIDI()
		count[n.Voice]++
	}
	number := map[int]int{}
	for staff, lines := range lines {
		slices.SortStableFunc(lines, func(a, b int) int { return cmp.Compare(sum[b]*count[a], sum[a]*count[b]) })
		for i, line := range lines {
			number[line] = voicesOfStaff*(staff-1) + i + 1
		}
	}
	for i := range notes {
		notes[i].Voice = number[notes[i].Voice]
	}
}

// Pitch reads a pitch such as C#4 or Bb3.
func Pitch(name string) (score.Pitch, error) {
	if len(name) < 2 {
		return score.Pitch{}, fmt.Errorf("%q is no pitch", name)
	}
	last := len(name) - 1
	step, ok := score.ParseStep(name[:1])
	alter, known := alters[name[1:last]]
	if octave := name[last]; ok && known && '0' <= octave && octave <= '9' {
		return score.Pitch{Step: step, Alter: alter, Octave: int8(octave - '0')}, nil
	}
	return score.Pitch{}, fmt.Errorf("%q is no pitch", name)
}

var alters = map[string]score.Alter{"": 0, "#": 100, "##": 200, "b": -100, "bb": -200}
