package musicxml

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// TestHiddenRest: a hidden rest that no one value can show is hidden in all its
// pieces.
func TestHiddenRest(t *testing.T) {
	m := &score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{
		{Kind: score.Rest, Hidden: true, Staff: 1, Voice: 1, Length: score.Frac(5, 2)},
		{Staff: 1, Voice: 1, Onset: score.Frac(5, 2), Length: score.Frac(3, 2), Pitch: score.Spell(60)},
	}}
	text, again := rewritten(t, scoreOf(m))
	for _, n := range again.Parts[0].Measures[0].Notes {
		if n.Kind == score.Rest && !n.Hidden {
			t.Errorf("a piece can be seen:\n%s", text)
		}
	}
}

// scoreOf is a score of one part.
func scoreOf(measures ...*score.Measure) *score.Score {
	return &score.Score{Parts: []*score.Part{{ID: "P1", Name: "Bells", Staves: 1, Measures: measures}}}
}

// rewritten writes a made score and reads it again.
func rewritten(t *testing.T, s *score.Score) (text string, again *score.Score) {
	t.Helper()
	var out bytes.Buffer
	if err := blank(t).Write(&out, s); err != nil {
		t.Fatal(err)
	}
	text = out.String()
	doc, err := Read(&out, "written", Limits{})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return text, doc.Score()
}

// TestMadeThings: what was made is written as far as the model says it.
func TestMadeThings(t *testing.T) {
	m := &score.Measure{Number: "1", Length: score.Quarters(4),
		Notes: []score.Note{{
			Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(60),
			Lyrics: []score.Lyric{
				{Verse: "1", Text: "bells & <all>", Syllabic: "begin", Extend: true},
				{Verse: "chorus", Text: "la", Syllabic: "single", TimeOnly: "2"},
				{Verse: "2", Extend: true},
			},
		}},
		Chords: []score.ChordSymbol{
			{HasRoot: true, Root: score.Pitch{Alter: score.Sharp}, Kind: "dominant", Text: "7", HasBass: true, Bass: score.Pitch{Step: score.F}, Inversion: 1,
				Degrees: []score.Degree{{Value: 9, Alter: score.Flat, Type: "add"}, {Value: 5, Type: "subtract"}}},
			{Onset: score.Quarters(1), Kind: "major", Numeral: score.Numeral{Degree: 2, Alter: score.Flat, HasKey: true,
				Key: score.KeySignature{Fifths: -3, Mode: "major"}}},
		},
		Directions: []score.Direction{
			{Signs: []score.Sign{{Name: "octave-shift", Type: "down", Number: 1, Size: 15}}},
			{Onset: score.Quarters(1), Signs: []score.Sign{{Name: "dynamics", Text: "mf dim.", Number: 1, Size: 8}}},
			{Onset: score.Quarters(2), Signs: []score.Sign{{Name: "dynamics", Text: "sfz", Number: 1, Size: 8}}},
			{Onset: score.Quarters(4), Signs: []score.Sign{{Name: "octave-shift", Type: "stop", Number: 1, Size: 15}}},
		},
	}
	_, s := rewritten(t, scoreOf(m))
	again := s.Parts[0].Measures[0]
	forget(again)
	if diff := cmp.Diff(m.Notes[0].Lyrics, again.Notes[0].Lyrics); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(m.Chords, again.Chords, times); diff != "" {
		t.Error(diff)
	}
	for i, d := range again.Directions {
		if diff := cmp.Diff(m.Directions[i].Signs, d.Signs); diff != "" {
			t.Error(diff)
		}
	}
}

// TestMadeMetronome: a metronome mark that is made counts the note that it names, and is
// read again as the same tempo.
func TestMadeMetronome(t *testing.T) {
	for unit, want := range map[string]string{"quarter": "72", "quarter.": "48", "half": "36"} {
		m := &score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{{Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(60)}}}
		m.Directions = []score.Direction{{Signs: []score.Sign{{Name: "metronome", Text: unit}}, Sound: score.Sound{Tempo: 72}}}
		text, s := rewritten(t, scoreOf(m))
		if got := s.Parts[0].Measures[0].Directions[0]; got.Sound.Tempo != 72 || got.Signs[0].Name != "metronome" {
			t.Errorf("%s: read again as %+v", unit, got)
		}
		if !strings.Contains(text, "<per-minute>"+want+"</per-minute>") || strings.Contains(unit, ".") != strings.Contains(text, "<beat-unit-dot/>") {
			t.Errorf("%s is written as %s", unit, text)
		}
	}
}

// times compares times.
var times = cmp.Comparer(func(a, b score.Time) bool { return a == b })

// forget sets all sources in m to 0.
func forget(m *score.Measure) {
	m.Source = 0
	for i := range m.Notes {
		n := &m.Notes[i]
		n.Source = 0
		for j := range n.Lyrics {
			n.Lyrics[j].Source = 0
		}
		for j := range n.Marks {
			n.Marks[j].Source = 0
		}
	}
	for i := range m.Keys {
		m.Keys[i].Source = 0
	}
	for i := range m.Times {
		m.Times[i].Source = 0
	}
	for i := range m.Clefs {
		m.Clefs[i].Source = 0
	}
	for i := range m.Transposes {
		m.Transposes[i].Source = 0
	}
	for i := range m.Chords {
		m.Chords[i].Source = 0
	}
	for i := range m.Barlines {
		m.Barlines[i].Source = 0
	}
	for i := range m.Directions {
		d := &m.Directions[i]
		d.Source = 0
		for j := range d.Signs {
			d.Signs[j].Source = 0
		}
	}
}

// TestWriteErrors: what cannot be written is an error, not a panic.
func TestWriteErrors(t *testing.T) {
	note := score.Note{Staff: 1, Voice: 1, Length: score.Quarters(4)}
	with := func(change func(*score.Measure)) *score.Score {
		m := &score.Measure{Number: "7", Length: score.Quarters(4), Notes: []score.Note{note}}
		change(m)
		return scoreOf(m)
	}
	other := readFile(t, filepath.Join(roundtrip, "ties-over-gap.musicxml"))
	for _, c := range []struct {
		name  string
		score *score.Score
		want  string
	}{
		{"no score", nil, "no score"},
		{"another document's", anew(other.Score()), "not this document's"},
		{"another document's, unchanged", other.Score(), "not this document's"},
		{"a part missing", &score.Score{Parts: []*score.Part{nil}}, "missing"},
		{"a measure missing", scoreOf(nil), "missing"},
		{"no staff", &score.Score{Parts: []*score.Part{{ID: "P1"}}}, "0 staves"},
		{"an unknown source", with(func(m *score.Measure) { m.Notes[0].Source = 4e9 }), "part P1, measure 7: the note has a source"},
		{"another thing's source", with(func(m *score.Measure) { m.Keys = []score.KeyChange{{Source: 1}} }), "key signature has a source"},
		{"an Other of our own", with(func(m *score.Measure) { m.Others = []score.Other{{Name: "figured-bass"}} }), "without source"},
		{"a chord without root", with(func(m *score.Measure) { m.Chords = []score.ChordSymbol{{Kind: "major"}} }), "without root"},
		{"a staff too many", with(func(m *score.Measure) { m.Notes[0].Staff = 2 }), "staff 2 of 1"},
		{"a sign's name", with(func(m *score.Measure) {
			m.Directions = []score.Direction{{Signs: []score.Sign{{Name: "two words"}}}}
		}), "name of an element"},
		{"no time signature", with(func(m *score.Measure) {
			m.Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}}}}}}
		}), "under 1"},
	} {
		var out bytes.Buffer
		err := blank(t).Write(&out, c.score)
		if err == nil || !strings.Contains(err.Error(), c.want) || out.Len() > 0 {
			t.Errorf("%s: error %v, want %q, and nothing written", c.name, err, c.want)
		}
	}
	if err := new(Document).Write(&bytes.Buffer{}, scoreOf()); err == nil {
		t.Error("a document that was never read has no error")
	}
}

// TestWriteMade: a score that was made is written with its header, and its
// sources, which no document issued, are errors.
func TestWriteMade(t *testing.T) {
	s := scoreOf(&score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{
		{Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(60)},
	}})
	s.Title, s.Movement = "Works & Days", "First <Bell>"
	s.Composers, s.Rights = []string{"A. Ringer", "B. Ringer"}, []string{"free", "for all"}
	var out bytes.Buffer
	if err := Write(&out, s); err != nil {
		t.Fatal(err)
	}
	text := out.String()
	doc, err := Read(&out, "made", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	again := doc.Score()
	if diff := cmp.Diff([]any{s.Title, s.Movement, s.Composers, s.Rights, s.Parts[0].Name},
		[]any{again.Title, again.Movement, again.Composers, again.Rights, again.Parts[0].Name}); diff != "" {
		t.Errorf("%s\n%s", diff, text)
	}
	if diff := cmp.Diff(sounds(s), sounds(again)); diff != "" {
		t.Error(diff)
	}
	for name, s := range map[string]*score.Score{"nil": nil, "a read one": again, "a part read": {Parts: []*score.Part{{ID: "P1", Staves: 1, Source: 1}}}} {
		if err := Write(&bytes.Buffer{}, s); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
