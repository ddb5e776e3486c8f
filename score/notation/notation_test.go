package notation

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// measure builds a measure from words such as "C5:1/2" (pitch and length in
// quarters, one after the other), "r:1" for a rest of the score, "-:1" for a
// gap, "C5:g" for a grace note, "2|" for what follows in another voice and
// "1/2|" for a voice on a staff. A pitch can be followed by "~" (tied from
// before), "!" (courtesy accidental) or "@3:2" (a ratio),
// "@9:4/3:2" in a tuplet of ratio 3:2.
func measure(t testing.TB, text string) *score.Measure {
	t.Helper()
	m := &score.Measure{Number: "1"}
	voice, staff, at := 1, 1, score.Time{}
	for word := range strings.FieldsSeq(text) {
		if seat, ok := strings.CutSuffix(word, "|"); ok {
			fmt.Sscanf(seat, "%d/%d", &voice, &staff)
			at = score.Time{}
			continue
		}
		n := readNote(t, word)
		n.Staff, n.Voice, n.Onset = staff, voice, at
		at = at.Add(n.Length)
		if word[0] != '-' {
			m.Notes = append(m.Notes, n)
		}
		m.Length = score.Max(m.Length, at)
	}
	return m
}

func readNote(t testing.TB, word string) score.Note {
	t.Helper()
	n := score.Note{Kind: score.Rest}
	if at := strings.Index(word, "@"); at >= 0 {
		fmt.Sscanf(word[at:], "@%d:%d/%d:%d", &n.Ratio.Actual, &n.Ratio.Normal, &n.Outer.Actual, &n.Outer.Normal)
		word = word[:at]
	}
	name, length, _ := strings.Cut(word, ":")
	name, n.TieStop = strings.CutSuffix(name, "~")
	name, n.Courtesy = strings.CutSuffix(name, "!")
	if n.Grace = length == "g"; !n.Grace {
		if err := n.Length.UnmarshalText([]byte(length)); err != nil {
			t.Fatal(err)
		}
	}
	if name != "r" && name != "-" {
		n.Kind, n.Pitch = score.Pitched, pitch(t, name)
	}
	return n
}

func pitch(t testing.TB, name string) score.Pitch {
	t.Helper()
	step, ok := score.ParseStep(name[:1])
	if !ok {
		t.Fatalf("no pitch %q", name)
	}
	p := score.Pitch{Step: step, Octave: int8(name[len(name)-1] - '0')}
	for _, sign := range name[1 : len(name)-1] {
		p.Alter += map[rune]score.Alter{'#': 100, 'b': -100, '+': 50, 'd': -50}[sign]
	}
	return p
}

// timeChange reads "6/8" or "3+2/8"; "" is none.
func timeChange(text string) []score.TimeChange {
	sum, unit, found := strings.Cut(text, "/")
	if !found {
		return nil
	}
	var g score.BeatGroup
	fmt.Sscan(unit, &g.Unit)
	for beats := range strings.SplitSeq(sum, "+") {
		var n int
		fmt.Sscan(beats, &n)
		g.Beats = append(g.Beats, n)
	}
	return []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{g}}}}
}

// engrave engraves the only measure of a part; a later one where it is not
// the first.
func engrave(m *score.Measure, staves int, later bool) []Voice {
	ctx := NewContext(&score.Part{Staves: staves, Measures: []*score.Measure{m}})
	if later {
		ctx.Advance(&score.Measure{})
	}
	return Measure(m, ctx)
}

var typeSigns = map[string]string{
	"breve": "B", "whole": "w", "half": "h", "quarter": "q", "eighth": "e", "16th": "s", "32nd": "t", "64th": "x", "": "?",
}

var beamSigns = map[string]string{"begin": "(", "continue": "-", "end": ")", "forward hook": ">", "backward hook": "<"}

// show writes a voice down: the letter of each type with dots, "r" before a
// rest, "g" before a grace note; then ratio, "~" for a tie on, beams by level.
// Tuplets are in brackets, those inside another in braces.
func show(v *Voice) string {
	var words []string
	for i := range v.Events {
		e := &v.Events[i]
		w := typeSigns[e.Type] + strings.Repeat(".", e.Dots)
		switch {
		case e.MeasureRest:
			w = "measure"
		case e.Grace:
			w = "g" + w
		case len(e.Notes) == 0:
			w = "r" + w
		}
		if e.Ratio.Actual > 0 {
			w += fmt.Sprintf("%d:%d", e.Ratio.Actual, e.Ratio.Normal)
		}
		if len(e.Notes) > 0 && e.Notes[0].TieStart {
			w += "~"
		}
		for _, b := range e.Beams {
			w += beamSigns[b]
		}
		if e.InnerStart {
			w = "{" + w
		}
		if e.InnerStop {
			w += "}"
		}
		if e.TupletStart {
			w = "[" + w
		}
		if e.TupletStop {
			w += "]"
		}
		words = append(words, w)
	}
	return strings.Join(words, " ")
}

// shownCase is a row of a table of measures with one voice.
type shownCase struct{ name, time, notes, want string }

func testShown(t *testing.T, cases []shownCase) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			m := measure(t, c.notes)
			m.Times = timeChange(c.time)
			voices := engrave(m, 1, true)
			if got := show(&voices[0]); got != c.want {
				t.Errorf("%s in %s:\n got %s\nwant %s", c.notes, c.time, got, c.want)
			}
		})
	}
}

// TestWhole looks at everything that one small measure gets.
func TestWhole(t *testing.T) {
	m := measure(t, "F#4:3/2 G4:1/2")
	m.Times = timeChange("2/4")
	a, b := &m.Notes[0], &m.Notes[1]
	want := []Voice{{Number: 1, Staff: 1, Events: []Event{
		{
			Length: score.Frac(3, 2), Staff: 1, Type: "quarter", Dots: 1, Stem: score.StemUp,
			Notes: []Note{{Note: a, First: true, Last: true, Accidental: "sharp"}},
		},
		{
			Onset: score.Frac(3, 2), Length: score.Frac(1, 2), Staff: 1, Type: "eighth", Stem: score.StemUp,
			Notes: []Note{{Note: b, First: true, Last: true}},
		},
	}}}
	if diff := cmp.Diff(want, engrave(m, 1, true), cmp.Comparer(func(a, b score.Time) bool { return a == b })); diff != "" {
		t.Error(diff)
	}
}
