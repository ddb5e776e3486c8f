package melody

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"undersong/score"
)

// opening is one piece of testdata/openings.txt.
type opening struct {
	title, kind string
	score       *score.Score
	melody      map[*score.Note]bool
}

// openings reads the pieces; testdata/README.md describes their notation.
func openings(t testing.TB) []*opening {
	t.Helper()
	text, err := os.ReadFile("testdata/openings.txt")
	if err != nil {
		t.Fatal(err)
	}
	var all []*opening
	for _, piece := range strings.Split(string(text), "\n= ")[0:] {
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

func readOpening(t testing.TB, text string) *opening {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	o := &opening{title: lines[0], melody: map[*score.Note]bool{}}
	meter, kind, _ := strings.Cut(strings.TrimPrefix(lines[1], "in "), " ")
	o.kind = kind
	length := quarters(t, meter)
	var notes []voiceNote
	var end score.Time
	for v, line := range lines[2:] {
		head, body, _ := strings.Cut(line, ":")
		staff, _ := strconv.Atoi(head[:1])
		read, until := readVoice(t, body, staff, v+1, strings.HasSuffix(head, "tune"))
		notes, end = append(notes, read...), score.Max(end, until)
	}
	o.fill(notes, length, end)
	return o
}

func readVoice(t testing.TB, body string, staff, voice int, tune bool) ([]voiceNote, score.Time) {
	var notes []voiceNote
	at, length := score.Time{}, score.Quarter
	for _, token := range strings.Fields(body) {
		times := 1
		if what, x, ok := strings.Cut(token, "x"); ok {
			token = what
			times, _ = strconv.Atoi(x)
		}
		if what, l, ok := strings.Cut(token, "="); ok {
			token, length = what, quarters(t, l)
		}
		for ; times > 0 && token != "|"; times-- {
			top := -1
			for _, name := range strings.Split(token, "+") {
				if name == "r" {
					continue
				}
				n := score.Note{Staff: staff, Voice: voice, Length: length, Pitch: pitch(t, name)}
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

func (o *opening) fill(notes []voiceNote, length, end score.Time) {
	p := &score.Part{ID: "P1", Name: "Piano", Staves: 2}
	for at := (score.Time{}); at.Less(end); at = at.Add(length) {
		m := &score.Measure{Number: strconv.Itoa(len(p.Measures) + 1), Length: length}
		var tune []bool
		for _, n := range notes {
			if !n.at.Less(at) && n.at.Less(at.Add(length)) {
				n.note.Onset = n.at.Sub(at)
				m.Notes, tune = append(m.Notes, n.note), append(tune, n.tune)
			}
		}
		for i := range m.Notes {
			o.melody[&m.Notes[i]] = tune[i]
		}
		p.Measures = append(p.Measures, m)
	}
	o.score = &score.Score{Title: o.title, Parts: []*score.Part{p}}
}

func quarters(t testing.TB, text string) score.Time {
	var q score.Time
	if err := q.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return q
}

func pitch(t testing.TB, name string) score.Pitch {
	step, ok := score.ParseStep(name[:1])
	octave, err := strconv.Atoi(name[len(name)-1:])
	if !ok || err != nil {
		t.Fatalf("pitch %q", name)
	}
	alter := 100 * (strings.Count(name, "#") - strings.Count(name, "b"))
	return score.Pitch{Step: step, Alter: score.Alter(alter), Octave: int8(octave)}
}

// Of the openings the finder must get most notes right, in the left hand as
// elsewhere. The limits are ours: a little under what it did when last fitted.
func TestOpenings(t *testing.T) {
	for _, way := range []struct {
		name string
		Options
		leftHand, other float64 // F1 over all notes of the kind
	}{
		{"fitted", Options{}, .90, .92},
		{"by rules", Options{Untrained: true}, .60, .88},
	} {
		right, wrong := map[string]int{}, map[string]int{} // wrong and missed
		for _, o := range openings(t) {
			r, w := o.judge(Find(o.score, o.score.Tones(), way.Options))
			right[o.kind], wrong[o.kind] = right[o.kind]+r, wrong[o.kind]+w
			t.Logf("%-9s F1 %.2f  %-10s %s", way.name, f1(r, w), o.kind, o.title)
		}
		for kind, least := range map[string]float64{"left hand": way.leftHand, "other": way.other} {
			got := f1(right[kind], wrong[kind])
			t.Logf("%s, %s: F1 %.3f", way.name, kind, got)
			if got < least {
				t.Errorf("%s, %s: F1 %.3f, want at least %.2f", way.name, kind, got, least)
			}
		}
	}
}

// judge counts the notes of line that are right, and those wrong or missed.
func (o *opening) judge(line Line) (right, wrong int) {
	found := map[*score.Note]bool{}
	tones := o.score.Tones()
	for _, i := range line.Tones {
		found[tones[i].First()] = true
	}
	for n, is := range o.melody {
		switch {
		case is && found[n]:
			right++
		case is != found[n]:
			wrong++
		}
	}
	return right, wrong
}

func f1(right, wrong int) float64 { return float64(2*right) / float64(max(1, 2*right+wrong)) }
