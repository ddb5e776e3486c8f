package notation

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// voicesOf shows all voices: "number/staff: events".
func voicesOf(voices []Voice) []string {
	var all []string
	for i := range voices {
		v := &voices[i]
		all = append(all, fmt.Sprintf("%d/%d: %s", v.Number, v.Staff, show(v)))
	}
	return all
}

func TestVoices(t *testing.T) {
	for _, c := range []struct {
		name   string
		staves int
		notes  string
		want   []string
	}{
		{"one", 1, "C4:4", []string{"1/1: w"}},
		{"an empty staff", 2, "C4:4", []string{"1/1: w", "5/2: measure"}},
		{"by staff", 2, "5/2| C3:4 1/1| C4:4", []string{"1/1: w", "5/2: w"}},
		{"the second is completed", 1, "1/1| C5:4 2/1| -:2 C4:1", []string{"1/1: w", "2/1: rh q rq"}},
		{"two lengths at once", 1, "1/1| C5:2 D5:2 1/1| E4:3", []string{"1/1: h h", "2/1: h. rq"}},
		{"the higher keeps the voice", 1, "1/1| C4:2 D5:2 1/1| E5:4", []string{"1/1: w", "2/1: h h"}},
		{"three at once", 1, "1/1| C5:1 1/1| B4:2 1/1| A4:3 -:1", []string{"1/1: q rq rh", "2/1: h rh", "3/1: h. rq"}},
		{"numbers already used", 1, "1/1| C5:4 1/1| B4:2 2/1| C4:4", []string{"1/1: w", "2/1: w", "3/1: h rh"}},
		{"unison in one voice", 1, "1/1| C5:4 1/1| C5:4", []string{"1/1: w", "2/1: w"}},
		{"a voice that changes staff", 2, "1/1| C5:2 1/2| -:2 C3:2 5/2| C2:4", []string{"1/1: h h", "5/2: w"}},
		{"a voice that leaves its staff", 2, "1/1| C5:1 1/2| -:1 C3:3", []string{"1/1: q h."}},
		{"voices counted on each staff", 2, "1/1| C5:2 C5:2 1/2| C3:4", []string{"1/1: h h", "5/2: w"}},
		{"a chord over two staves", 2, "1/1| C5:4 1/2| C3:4", []string{"1/1: w"}},
		{"a rest under a note", 1, "1/1| C5:2 -:2 1/1| r:4", []string{"1/1: h rh"}},
		{"rests only", 1, "1/1| C5:4 2/1| r:4", []string{"1/1: w"}},
		{"rests only, first", 1, "1/1| r:4 2/1| C4:4", []string{"1/1: measure", "2/1: w"}},
		{"a grace note under a long one", 1, "1/1| C5:4 1/1| -:2 C4:g C4:2", []string{"1/1: w", "2/1: rh ge h"}},
		{"a grace note in a gap", 1, "-:1 C4:g -:3", []string{"1/1: rq ge rq rh"}},
		{"a grace note at the end", 1, "C4:4 C4:g", []string{"1/1: w ge"}},
		{"beyond its length", 1, "C4:5", []string{"1/1: w~ q"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := measure(t, c.notes)
			m.Times, m.Length = timeChange("4/4"), score.Whole
			if diff := cmp.Diff(c.want, voicesOf(engrave(m, c.staves, true))); diff != "" {
				t.Errorf("%s (-want +got):\n%s", c.notes, diff)
			}
		})
	}
}

// TestNumbersLast: a voice that is parted in one measure has its numbers in
// all.
func TestNumbersLast(t *testing.T) {
	both, lower := measure(t, "1/1| C5:2 C5:2 1/2| C3:4"), measure(t, "1/2| C3:4")
	both.Times = timeChange("4/4")
	ctx := NewContext(&score.Part{Staves: 2, Measures: []*score.Measure{both, lower}})
	Measure(both, ctx)
	got := voicesOf(Measure(lower, ctx))
	if diff := cmp.Diff([]string{"1/1: measure", "5/2: w"}, got); diff != "" {
		t.Error(diff)
	}
}

// TestChords: chords read from low to high, grace chords too, and what belongs to
// no chord stays apart.
func TestChords(t *testing.T) {
	m := measure(t, "E5:g C5:g 1/1| G5:4 1/1| C5:4 1/1| E5:4 1/1| A5:4")
	m.Notes[1].GraceChord = true
	m.Notes[5].Cue = true
	var got []string
	for _, v := range engrave(m, 1, true) {
		for _, e := range v.Events {
			word := fmt.Sprint(v.Number)
			for _, n := range e.Notes {
				word += " " + n.Note.Pitch.String()
			}
			got = append(got, word)
		}
	}
	if diff := cmp.Diff([]string{"1 C5 E5", "1 A5", "2 C5 E5 G5"}, got); diff != "" {
		t.Error(diff)
	}
}

// TestPieces: what is tied together from pieces keeps its own ties outside.
func TestPieces(t *testing.T) {
	m := measure(t, "C4:5/2 D4:3/2")
	m.Notes[0].TieStop, m.Notes[0].TieStart = true, true
	m.Times = timeChange("4/4")
	var got []string
	for _, e := range engrave(m, 1, true)[0].Events {
		n := e.Notes[0]
		var words []string
		for _, w := range []struct {
			is   bool
			name string
		}{{n.First, "first"}, {n.Last, "last"}, {n.TieStop, "stop"}, {n.TieStart, "start"}} {
			if w.is {
				words = append(words, w.name)
			}
		}
		got = append(got, strings.Join(words, " "))
	}
	if diff := cmp.Diff([]string{"first stop start", "last stop start", "first last"}, got); diff != "" {
		t.Error(diff)
	}
}

// TestRestsOfTheScore: the first piece of a rest stands for it.
func TestRestsOfTheScore(t *testing.T) {
	m := measure(t, "r:5/2 C4:1 -:1/2")
	m.Times = timeChange("4/4")
	events := engrave(m, 1, true)[0].Events
	for i, want := range []*score.Note{&m.Notes[0], nil, nil, nil} {
		if events[i].Rest != want {
			t.Errorf("event %d has rest %v, want %v", i, events[i].Rest, want)
		}
	}
}
