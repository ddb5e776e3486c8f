package sound_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/instrument"
	"undersong/instrument/sound"
	"undersong/score"
)

// sheet is a score of one part of two staves: in each staff and voice a
// quarter note on every beat of two measures in 4/4, with these signs.
//
//	1/2 f @3     f for staff 1, voice 2, at quarter 3; 0 for none
//	1/1 < @0     a hairpin begins, or ends: < > .
func sheet(t testing.TB, signs string) *score.Score {
	t.Helper()
	part := &score.Part{ID: "P1", Staves: 2}
	for range 2 {
		m := &score.Measure{Length: score.Whole}
		for _, v := range []struct{ staff, voice, midi int }{{1, 1, 72}, {1, 2, 67}, {2, 1, 60}} {
			for q := range 4 {
				m.Notes = append(m.Notes, score.Note{
					Staff: v.staff, Voice: v.voice, Onset: score.Quarters(int64(q)), Length: score.Quarter, Pitch: score.Spell(v.midi),
				})
			}
		}
		part.Measures = append(part.Measures, m)
	}
	for sign := range strings.SplitSeq(signs, ",") {
		var d score.Direction
		var mark string
		var quarter int64
		if n, _ := fmt.Sscanf(sign, "%d/%d %s @%d", &d.Staff, &d.Voice, &mark, &quarter); n != 4 {
			continue
		}
		d.Onset = score.Quarters(quarter % 4)
		s := score.Sign{Name: "dynamics", Text: mark, Number: 1}
		if kind := map[string]string{"<": "crescendo", ">": "diminuendo", ".": "stop"}[mark]; kind != "" {
			s = score.Sign{Name: "wedge", Type: kind, Number: 1}
		}
		d.Signs = []score.Sign{s}
		m := part.Measures[quarter/4]
		m.Directions = append(m.Directions, d)
	}
	return &score.Score{Parts: []*score.Part{part}}
}

func strokesOf(t testing.TB, s *score.Score, tower *instrument.Tower) []sound.Stroke {
	t.Helper()
	p, err := s.Performed()
	if err != nil {
		t.Fatal(err)
	}
	strokes, missing := sound.Strokes(p, tower, nil)
	if len(missing) > 0 {
		t.Errorf("%d strikes have no bell", len(missing))
	}
	return strokes
}

func named(t testing.TB, name string) *instrument.Tower {
	t.Helper()
	tower, err := instrument.Named(name)
	if err != nil {
		t.Fatal(err)
	}
	return tower
}

// TestDynamics holds the rules of Strokes, which are the project's own: the
// marks above mf of every quarter, for staff 1 voice 1, staff 1 voice 2 and
// staff 2.
func TestDynamics(t *testing.T) {
	for _, tt := range []struct {
		name, signs string
		want        [3]string
	}{
		{"nothing said", "", [3]string{"0 0 0 0 0 0 0 0", "0 0 0 0 0 0 0 0", "0 0 0 0 0 0 0 0"}},
		{"one mark is for the part", "1/1 f @2", [3]string{"0 0 1 1 1 1 1 1", "0 0 1 1 1 1 1 1", "0 0 1 1 1 1 1 1"}},
		{"staves marked apart", "1/1 f @0,2/1 p @0,2/1 ff @4", [3]string{"1 1 1 1 1 1 1 1", "1 1 1 1 1 1 1 1", "-2 -2 -2 -2 2 2 2 2"}},
		{"voices marked apart", "1/1 f @0,1/2 p @0,1/2 pp @4", [3]string{
			"1 1 1 1 1 1 1 1", "-2 -2 -2 -2 -3 -3 -3 -3", "-2 -2 -2 -2 -3 -3 -3 -3"}},
		{"a hairpin to a mark", "1/1 p @0,1/1 < @0,1/1 . @4,1/1 ff @4", [3]string{"-2 -1 0 1 2 2 2 2", "-2 -1 0 1 2 2 2 2", "-2 -1 0 1 2 2 2 2"}},
		{"a hairpin to nowhere", "1/1 > @0,1/1 . @4", [3]string{
			"0 -0.25 -0.5 -0.75 -1 -1 -1 -1", "0 -0.25 -0.5 -0.75 -1 -1 -1 -1", "0 -0.25 -0.5 -0.75 -1 -1 -1 -1"}},
		{"a hairpin without an end", "1/1 < @0", [3]string{"0 0 0 0 0 0 0 0", "0 0 0 0 0 0 0 0", "0 0 0 0 0 0 0 0"}},
		{"no louder than fff", "1/1 fff @0,1/1 sfz @1", [3]string{"3 3 3 3 3 3 3 3", "3 3 3 3 3 3 3 3", "3 3 3 3 3 3 3 3"}},
		{"a hairpin to a mark a quarter note behind it", "1/1 p @0,1/1 < @0,1/1 . @3,1/1 f @4", [3]string{"-2 -1 0 1 1 1 1 1", "-2 -1 0 1 1 1 1 1", "-2 -1 0 1 1 1 1 1"}},
		{"a hairpin to a mark that is too far", "1/1 p @0,1/1 < @0,1/1 . @2,1/1 f @4", [3]string{"-2 -1.5 -1 -1 1 1 1 1", "-2 -1.5 -1 -1 1 1 1 1", "-2 -1.5 -1 -1 1 1 1 1"}},
		{"a hairpin to a mark the other way", "1/1 f @0,1/1 < @0,1/1 . @4,1/1 p @4", [3]string{"1 1.25 1.5 1.75 -2 -2 -2 -2", "1 1.25 1.5 1.75 -2 -2 -2 -2", "1 1.25 1.5 1.75 -2 -2 -2 -2"}},
		{"a hairpin that another one cuts off", "1/1 < @0,1/1 > @2,1/1 . @4", [3]string{"0 0 0 -0.5 -1 -1 -1 -1", "0 0 0 -0.5 -1 -1 -1 -1", "0 0 0 -0.5 -1 -1 -1 -1"}},
		{"of two staves at once one", "1/1 < @0,2/1 < @0,1/1 . @4,2/1 . @4", [3]string{
			"0 0.25 0.5 0.75 1 1 1 1", "0 0.25 0.5 0.75 1 1 1 1", "0 0.25 0.5 0.75 1 1 1 1"}},
		{"accents", "1/1 sfz @1,1/1 fp @3", [3]string{"0 1 0 1 -2 -2 -2 -2", "0 1 0 1 -2 -2 -2 -2", "0 1 0 1 -2 -2 -2 -2"}},
		{"beyond the scale", "1/1 fffff @0,1/1 pppp @4", [3]string{"3 3 3 3 -4 -4 -4 -4", "3 3 3 3 -4 -4 -4 -4", "3 3 3 3 -4 -4 -4 -4"}},
		{"marks of two levels", "1/1 sfzp @0,1/1 pf @4", [3]string{"1 -2 -2 -2 1 1 1 1", "1 -2 -2 -2 1 1 1 1", "1 -2 -2 -2 1 1 1 1"}},
		{"no levels", "1/1 n @0", [3]string{"0 0 0 0 0 0 0 0", "0 0 0 0 0 0 0 0", "0 0 0 0 0 0 0 0"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got [3][]string
			for _, s := range strokesOf(t, sheet(t, tt.signs), named(t, "47")) {
				voice := map[int]int{72: 0, 67: 1, 60: 2}[s.Key]
				got[voice] = append(got[voice], fmt.Sprint(s.Marks))
			}
			for i := range got {
				if diff := cmp.Diff(tt.want[i], strings.Join(got[i], " ")); diff != "" {
					t.Errorf("voice %d: %s", i, diff)
				}
			}
		})
	}
}

// TestDynamicsOfOtherParts: a part without marks obeys those of the others.
func TestDynamicsOfOtherParts(t *testing.T) {
	s := sheet(t, "1/1 pp @0")
	s.Parts = append(s.Parts, sheet(t, "").Parts[0])
	for _, stroke := range strokesOf(t, s, named(t, "47")) {
		if stroke.Marks != -3 {
			t.Errorf("key %d is %v marks above mf", stroke.Key, stroke.Marks)
		}
	}
}

func TestAccentMark(t *testing.T) {
	s := sheet(t, "")
	s.Parts[0].Measures[0].Notes[1].Marks = []score.Mark{{Name: "accent", Group: "articulations"}}
	louder := 0
	for _, stroke := range strokesOf(t, s, named(t, "47")) {
		if stroke.Marks == 1 {
			louder++
		}
	}
	if louder != 1 {
		t.Errorf("%d strokes are louder, want 1", louder)
	}
}
