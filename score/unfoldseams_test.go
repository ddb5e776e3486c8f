package score_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
)

func TestWrittenOutTies(t *testing.T) {
	tie := func(s *score.Score, number string, pitch int, start, stop bool) {
		n := &measure(t, s, number).Notes[0]
		n.Pitch, n.TieStart, n.TieStop = score.Spell(pitch), start, stop
	}
	// Measure 1 is tied to the first note of both endings; ending 1 is tied to
	// nothing that follows, Fine is in the middle of a tie.
	s := sketch(t, "|: 1 [1 2 :| ] [2 3 ] 4 >Fine 5 >D.C._al_Fine")
	tie(s, "1", 60, true, false)
	tie(s, "2", 60, true, true)
	tie(s, "3", 60, false, true)
	tie(s, "4", 62, true, false)
	tie(s, "5", 62, false, true)
	w := writtenOut(t, s)
	var got []string
	for _, m := range w.Parts[0].Measures {
		n := m.Notes[0]
		got = append(got, fmt.Sprint(m.Number, n.TieStop, n.TieStart))
	}
	want := []string{
		"1 false true", "2 true false", "1b false true", "3 true false", "4 false true", "5 true false",
		"1c false true", "3b true false", "4b false false",
	}
	for i := range want {
		want[i] = strings.Replace(want[i], " ", "", 1)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	for _, err := range score.Check(w) {
		t.Error(err)
	}
	// The other way: what a jump lands on was tied to what is not played before.
	s = sketch(t, "1 @segno 2 3 >D.S.")
	tie(s, "1", 60, true, false)
	tie(s, "2", 60, false, true)
	w = writtenOut(t, s)
	if !measure(t, w, "2").Notes[0].TieStop || measure(t, w, "2b").Notes[0].TieStop {
		t.Error("the tie into measure 2 must stay the first time and go the second")
	}
}

func TestWrittenOutLines(t *testing.T) {
	mark := func(m *score.Measure, kind string) {
		m.Notes[0].Marks = append(m.Notes[0].Marks, score.Mark{Name: "slur", Type: kind, Number: 1})
	}
	sign := func(m *score.Measure, kind string) {
		d := direction(score.Time{}, "wedge", "")
		d.Signs[0].Type = kind
		m.Directions = append(m.Directions, d)
	}
	s := sketch(t, "1 >To_Coda 2 3 >D.C. @coda 4")
	mark(measure(t, s, "1"), "start")
	mark(measure(t, s, "2"), "stop")
	sign(measure(t, s, "1"), "crescendo")
	sign(measure(t, s, "3"), "stop")
	sign(measure(t, s, "4"), "stop") // never had a start
	w := writtenOut(t, s)
	got := map[string]string{}
	for _, m := range w.Parts[0].Measures {
		got[m.Number] = fmt.Sprint(len(m.Notes[0].Marks), len(m.Directions))
	}
	// The second time the slur ends nowhere; the wedge stops at the coda.
	want := map[string]string{"1": "1 1", "2": "1 0", "3": "0 1", "1b": "0 1", "4": "0 1"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if len(measure(t, s, "1").Notes[0].Marks) != 1 {
		t.Error("the score itself changed")
	}
	s = sketch(t, "1 >To_Coda 2 >D.C. @coda 3")
	sign(measure(t, s, "1"), "diminuendo")
	sign(measure(t, s, "2"), "stop")
	if m := measure(t, writtenOut(t, s), "1b"); len(m.Directions) != 0 {
		t.Errorf("a wedge without an end is left: %+v", m.Directions)
	}
}

func TestWrittenOutSigns(t *testing.T) {
	s := sketch(t, "@segno 1 >3_times >dolce 2 >To >coda 3 >D.S. <Coda 4")
	mixed := &measure(t, s, "3").Directions[0]
	mixed.Signs = append(mixed.Signs, score.Sign{Name: "dynamics", Text: "mf"})
	mixed.Sound = score.Sound{DalSegno: "segno", Tempo: 60}
	m := measure(t, s, "1")
	m.Directions = append(m.Directions,
		score.Direction{Sound: score.Sound{ForwardStart: true}},
		score.Direction{Sound: score.Sound{Tempo: 90}},
		score.Direction{Sound: score.Sound{Tempo: 80, TimeOnly: "2"}})
	s.Parts[0].Measures[1].Directions = []score.Direction{direction(score.Whole, "words", "To Coda")}
	w := writtenOut(t, s)
	show := func(number string) string {
		var all []string
		for _, d := range measure(t, w, number).Directions {
			text := fmt.Sprint(d.Source != 0, d.Sound.Tempo)
			for _, s := range d.Signs {
				text += " " + s.Name + "=" + s.Text
			}
			all = append(all, text)
		}
		return strings.Join(all, "; ")
	}
	for number, want := range map[string]string{
		"1":  "true 0 words=dolce; true 90",
		"1b": "true 0 words=dolce; true 90; false 80",
		"2":  "", "3": "false 60 dynamics=mf", "4": "",
	} {
		want = strings.Replace(want, "true 90", "false 90", 1) // made without Source
		if got := show(number); got != want {
			t.Errorf("measure %s: %q, want %q", number, got, want)
		}
	}
}

func TestWrittenOutBarlines(t *testing.T) {
	s := sketch(t, "|: 1 :| 2 >Fine 3 >D.C.")
	measure(t, s, "2").Barlines = []score.Barline{{Location: "right", Style: "light-light", Source: 3}}
	measure(t, s, "3").Barlines = []score.Barline{{Location: "right", Style: "light-heavy", Source: 4}}
	w := writtenOut(t, s)
	styles := map[string]string{}
	for _, m := range w.Parts[0].Measures {
		for _, b := range m.Barlines {
			styles[m.Number] += fmt.Sprint(b.Location, b.Style, b.Source)
		}
	}
	want := map[string]string{"2": "rightlight-light3", "3": "rightlight-light0", "2b": "rightlight-heavy0"}
	if diff := cmp.Diff(want, styles); diff != "" {
		t.Error(diff)
	}
	last := writtenOut(t, sketch(t, "|: 1 :|")).Parts[0].Measures[1]
	if len(last.Barlines) != 1 || last.Barlines[0].Style != "light-heavy" || last.Barlines[0].Repeat != "" {
		t.Errorf("the end has the barlines %+v", last.Barlines)
	}
}

func TestWrittenOutRestatesSignatures(t *testing.T) {
	s := sketch(t, "1 2 >D.C.")
	p := s.Parts[0]
	p.Staves = 2
	three := score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{3}, Unit: 4}}}
	m := measure(t, s, "2")
	m.Keys = []score.KeyChange{{Staff: 2, Key: score.KeySignature{Fifths: 2}}, {Staff: 9}}
	m.Times = []score.TimeChange{{Time: three, Onset: score.Quarters(2)}}
	m.Clefs = []score.ClefChange{{Staff: 1, Clef: score.Bass}, {Staff: 1, Clef: score.Treble, Onset: score.Quarters(1)}, {Staff: 2, Clef: score.Bass}}
	m.Transposes = []score.TransposeChange{{Transposition: score.Transposition{Letters: -1, Semitones: -2}}}
	b := measure(t, writtenOut(t, s), "1b")
	if len(b.Times) != 1 { // its own, not twice
		t.Errorf("times %+v", b.Times)
	}
	if diff := cmp.Diff([]score.KeyChange{{Staff: 2}}, b.Keys, same); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]score.ClefChange{{Staff: 2, Clef: score.Treble}}, b.Clefs, same); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]score.TransposeChange{{Staff: 1}, {Staff: 2}}, b.Transposes, same); diff != "" {
		t.Error(diff)
	}
	s = sketch(t, "1 @segno 2 3 >D.S.")
	measure(t, s, "3").Times = []score.TimeChange{{Time: three}}
	b = measure(t, writtenOut(t, s), "2b")
	if diff := cmp.Diff([]score.TimeChange{{Time: commonTime()}}, b.Times, same); diff != "" {
		t.Error(diff)
	}
	s.Parts[0].Measures[0].Times = nil // a time that was never said is not restated
	if b = measure(t, writtenOut(t, s), "2b"); len(b.Times) != 0 {
		t.Errorf("times %+v", b.Times)
	}
}

// TestWrittenOutTiesAtTheEnds: a tie that only goes back over a repeat has no
// note to come from the first time, nor one to go to the last time.
func TestWrittenOutTiesAtTheEnds(t *testing.T) {
	s := scoretest.Score(t, "../testdata/roundtrip/ties-over-repeat.musicxml")
	for _, err := range score.Check(writtenOut(t, s)) {
		t.Error(err)
	}
	loop := sketch(t, "|: 1 2 :|2")
	m := loop.Parts[0].Measures
	tied := func(start, stop bool) []score.Note {
		return []score.Note{{Staff: 1, Voice: 1, Length: m[0].Length, Pitch: score.Spell(60), TieStart: start, TieStop: stop}}
	}
	m[0].Notes, m[1].Notes = tied(false, true), tied(true, false)
	w := writtenOut(t, loop)
	for _, err := range score.Check(w) {
		t.Error(err)
	}
	if n := len(w.Tones()); n != 3 {
		t.Errorf("%d tones, want 3: one is tied over the repeat", n)
	}
}
