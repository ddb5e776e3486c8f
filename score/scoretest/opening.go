package scoretest

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"undersong/score"
)

// Opening is the opening of a piece, written down as
// voicing/melody/testdata/README.md describes.
type Opening struct {
	Title, Kind string
	Score       *score.Score
	Melody      map[*score.Note]bool
	// Marks are its lines with a name, such as chords, without their names.
	Marks map[string]string
	// Shortest and Longest are its shortest and longest voice, in quarters.
	Shortest, Longest score.Time
}

// Openings are the pieces of a file in voicing/melody/testdata.
func Openings(t testing.TB, file string) []*Opening {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root(t), "voicing", "melody", "testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	var all []*Opening
	for _, piece := range strings.Split(string(text), "\n= ") {
		all = append(all, readOpening(t, strings.TrimPrefix(piece, "= ")))
	}
	return all
}

// voiceNote is a note on the way into its measure.
type voiceNote struct {
	at   score.Time
	note score.Note
	tune bool
}

func readOpening(t testing.TB, text string) *Opening {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(text), "\n")
	o := &Opening{Title: lines[0], Melody: map[*score.Note]bool{}, Marks: map[string]string{}, Shortest: score.Quarters(1 << 20)}
	head := readHead(t, lines[1])
	o.Kind = head.kind
	var notes []voiceNote
	for v, line := range lines[2:] {
		head, body, _ := strings.Cut(line, ":")
		staff, err := strconv.Atoi(head[:1])
		if err != nil {
			o.Marks[head] = strings.TrimSpace(body)
			continue
		}
		read, until := readVoice(t, body, staff, v+1, strings.HasSuffix(head, "tune"))
		notes = append(notes, read...)
		o.Shortest, o.Longest = score.Min(o.Shortest, until), score.Max(o.Longest, until)
	}
	o.fill(notes, head)
	return o
}

// heading is the second line of an opening.
type heading struct {
	measure, pickup score.Time // lengths; no pickup is 0
	sharps          int
	kind            string
}

// readHead reads a line such as "in 3/2 pickup 1/2 sharps -1 left hand".
func readHead(t testing.TB, line string) heading {
	t.Helper()
	var h heading
	words := strings.Fields(line)
	for ; len(words) > 1; words = words[2:] {
		switch words[0] {
		case "in":
			h.measure = Quarters(t, words[1])
			continue
		case "pickup":
			h.pickup = Quarters(t, words[1])
			continue
		case "sharps":
			h.sharps, _ = strconv.Atoi(words[1])
			continue
		}
		break
	}
	h.kind = strings.Join(words, " ")
	return h
}

func readVoice(t testing.TB, body string, staff, voice int, tune bool) ([]voiceNote, score.Time) {
	t.Helper()
	var notes []voiceNote
	at, length := score.Time{}, score.Quarter
	for token := range strings.FieldsSeq(body) {
		times := 1
		if what, x, ok := strings.Cut(token, "x"); ok {
			token = what
			times, _ = strconv.Atoi(x)
		}
		if what, l, ok := strings.Cut(token, "="); ok {
			token, length = what, Quarters(t, l)
		}
		for ; times > 0 && token != "|"; times-- {
			top := -1
			for name := range strings.SplitSeq(token, "+") {
				if name == "r" {
					continue
				}
				n := score.Note{Staff: staff, Voice: voice, Length: length, Pitch: Pitch(t, name)}
				notes = append(notes, voiceNote{at, n, false})
				if top < 0 || n.Pitch.MIDI() > notes[top].note.Pitch.MIDI() {
					top = len(notes) - 1
				}
			}
			if top >= 0 {
				notes[top].tune = tune
			}
			at = at.Add(length)
		}
	}
	return notes, at
}

func (o *Opening) fill(notes []voiceNote, h heading) {
	p := &score.Part{ID: "P1", Name: "Piano", Staves: 2}
	length := h.measure
	if h.pickup.Sign() > 0 {
		length = h.pickup
	}
	for at := (score.Time{}); at.Less(o.Longest); {
		m := &score.Measure{Number: strconv.Itoa(len(p.Measures) + 1), Length: length}
		var tune []bool
		for _, n := range notes {
			if !n.at.Less(at) && n.at.Less(at.Add(length)) {
				n.note.Onset = n.at.Sub(at)
				m.Notes, tune = append(m.Notes, n.note), append(tune, n.tune)
			}
		}
		for i := range m.Notes {
			o.Melody[&m.Notes[i]] = tune[i]
		}
		p.Measures = append(p.Measures, m)
		at, length = at.Add(length), h.measure
	}
	p.Measures[0].Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: h.sharps}}}
	o.Score = &score.Score{Title: o.Title, Parts: []*score.Part{p}}
}

// Quarters is a time in quarters, such as 3/2.
func Quarters(t testing.TB, text string) score.Time {
	t.Helper()
	var q score.Time
	if err := q.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return q
}

// Pitch is a pitch such as C#4 or Bb3.
func Pitch(t testing.TB, name string) score.Pitch {
	t.Helper()
	step, ok := score.ParseStep(name[:1])
	octave, err := strconv.Atoi(name[len(name)-1:])
	if !ok || err != nil {
		t.Fatalf("pitch %q", name)
	}
	alter := 100 * (strings.Count(name, "#") - strings.Count(name, "b"))
	return score.Pitch{Step: step, Alter: score.Alter(alter), Octave: int8(octave)}
}
