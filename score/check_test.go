package score_test

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

func TestCheckFindsNothingInRealScores(t *testing.T) {
	for _, file := range scoretest.Shared(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			for _, err := range score.Check(scoretest.Score(t, file)) {
				t.Error(err)
			}
		})
	}
}

func TestCheckFindsNothingInTestData(t *testing.T) {
	for _, folder := range []string{"forms", "roundtrip"} {
		files, err := filepath.Glob(filepath.Join("..", "testdata", folder, "*.musicxml"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no files in %s, %v", folder, err)
		}
		for _, file := range files {
			t.Run(filepath.Base(file), func(t *testing.T) {
				for _, err := range score.Check(scoretest.Score(t, file)) {
					t.Error(err)
				}
			})
		}
	}
}

// TestCheckManyBeats: the beats of a long time signature are not counted out in
// every measure.
func TestCheckManyBeats(t *testing.T) {
	s := sketch(t, strings.TrimSpace(strings.Repeat("1 ", 200)))
	allocations := func() float64 {
		return testing.AllocsPerRun(1, func() { score.Check(s) })
	}
	before := allocations()
	var long score.TimeSignature
	for range 64 {
		long.Groups = append(long.Groups, score.BeatGroup{Beats: []int{1024}, Unit: 4})
	}
	s.Parts[0].Measures[0].Times = []score.TimeChange{{Time: long}}
	if after := allocations(); after > before+5000 {
		t.Errorf("%.0f allocations, with a short time signature %.0f", after, before)
	}
}

// TestCheck breaks a score of two measures, one thing at a time.
func TestCheck(t *testing.T) {
	q := score.Quarters
	add := func(notes ...score.Note) func(*score.Score) {
		return func(s *score.Score) { s.Parts[0].Measures[1].Notes = notes }
	}
	with := func(change func(*score.Note)) func(*score.Score) {
		n := note(60, q(1), q(1))
		change(&n)
		return add(n)
	}
	in := func(change func(*score.Measure)) func(*score.Score) {
		return func(s *score.Score) { change(s.Parts[0].Measures[1]) }
	}
	slur := func(kind string) func(*score.Note) {
		return func(n *score.Note) { n.Marks = []score.Mark{{Name: "slur", Type: kind, Number: 1}} }
	}
	for _, test := range []struct {
		name  string
		spoil func(*score.Score)
		want  string // "" for nothing
	}{
		{"sound", add(note(60, q(0), q(4))), ""},
		{"no part", func(s *score.Score) { s.Parts = nil }, "the score has no part"},
		{"nil part", func(s *score.Score) { s.Parts = []*score.Part{nil} }, "a part is missing"},
		{"nil measure", func(s *score.Score) { s.Parts[0].Measures[0] = nil }, "part P1: a measure is missing"},
		{"no staff", func(s *score.Score) { s.Parts[0].Staves = 0 }, "part P1: 0 staves"},
		{"same names", func(s *score.Score) { s.Parts = append(s.Parts, s.Parts[0]) }, "two parts have this name"},
		{"measures missing", func(s *score.Score) { s.Parts = append(s.Parts, &score.Part{Staves: 1}) }, "0 measures where another part has 2"},
		{"measures of other lengths", func(s *score.Score) {
			s.Parts = append(s.Parts, &score.Part{ID: "P2", Staves: 1, Measures: []*score.Measure{{Length: score.Whole}, {Number: "2"}}})
		}, "part P2, measure 2: a length of 0 quarter notes where part P1 has 4"},
		{"negative measure", in(func(m *score.Measure) { m.Length = q(-1) }), "measure 2: a length of -1 quarter notes is negative"},

		{"before the measure", with(func(n *score.Note) { n.Onset = q(-1) }), "a note begins at -1, before its measure"},
		{"negative length", with(func(n *score.Note) { n.Length = q(-1) }), "measure 2, beat 2: a note's length of -1 is negative"},
		{"after the measure", with(func(n *score.Note) { n.Length = q(4) }), "a note ends at 5, after its measure, which ends at 4"},
		{"no length", with(func(n *score.Note) { n.Length = q(0) }), "a note without length"},
		{"grace with length", with(func(n *score.Note) { n.Grace = true }), "a grace note's length of 1 is not zero"},
		{"staff 0", with(func(n *score.Note) { n.Staff = 0 }), "a note on staff 0 of 2"},
		{"staff 3", with(func(n *score.Note) { n.Staff = 3 }), "a note on staff 3 of 2"},
		{"voice 0", with(func(n *score.Note) { n.Voice = 0 }), "a note in voice 0"},
		{"octave", with(func(n *score.Note) { n.Pitch.Octave = 10 }), "no such pitch: step 0, octave 10"},
		{"step", with(func(n *score.Note) { n.Pitch.Step = 7 }), "no such pitch: step 7"},
		{"tuplet", with(func(n *score.Note) { n.Ratio.Actual = 3 }), "a tuplet of 3 notes in the time of 0"},
		{"outer tuplet", with(func(n *score.Note) { n.Outer.Normal = 2 }), "a tuplet of 0 notes in the time of 2"},

		{"a chord", add(note(60, q(0), q(2)), note(64, q(0), q(4)), note(62, q(2), q(2))), ""},
		{"twice in a chord", add(note(60, q(0), q(2)), note(60, q(0), q(2))), "measure 2, beat 1: C4 twice in a chord of voice 1"},
		{"overlap", add(note(60, q(0), q(2)), note(62, q(1), q(1))), "measure 2, beat 2: D4 begins before the note before it"},
		{"grace notes do not overlap", add(note(60, q(0), q(2)), grace(62, q(1)), grace(62, q(1))), ""},

		{"a tie", add(tied(note(60, q(0), q(2)), true, false), tied(note(60, q(2), q(1)), false, true)), ""},
		{"a tie over a gap", add(tied(note(60, q(0), q(1)), true, false), tied(note(60, q(2), q(1)), false, true)), ""},
		{"a tie to nothing", add(tied(note(60, q(0), q(1)), true, false)), "beat 1: C4 is tied to a note that is not there"},
		{"a tie from nothing", add(tied(note(60, q(1), q(1)), false, true)), "beat 2: C4 is tied from a note that is not there"},
		{"a tie to the end", add(tied(note(60, q(0), q(4)), true, false)), "C4 is tied to a note that is not there"},
		{"a tie from the end", func(s *score.Score) {
			s.Parts[0].Measures[0].Notes = []score.Note{tied(note(60, q(0), q(4)), false, true)}
		}, "measure 1, beat 1: C4 is tied from a note that is not there"},
		{"a tie to another pitch", add(tied(note(60, q(0), q(1)), true, false), tied(note(61, q(1), q(1)), false, true)), "C4 is tied to"},
		{"a tie at a repeat", in(func(m *score.Measure) {
			m.Notes = []score.Note{tied(note(60, q(0), q(4)), true, true)}
			m.Barlines = []score.Barline{{Location: "left", Repeat: "forward"}, {Location: "right", Repeat: "backward"}}
		}), ""},
		{"a tie where no order can be told", in(func(m *score.Measure) {
			m.Notes = []score.Note{tied(note(60, q(0), q(4)), true, true)}
			m.Directions = []score.Direction{direction(q(0), "words", "D.S.")}
		}), ""},

		{"half a slur", with(slur("start")), "measure 2: a slur's start without a stop"},
		{"the other half", with(slur("stop")), "measure 2: a slur's stop without a start"},
		{"a line over one note", with(func(n *score.Note) {
			n.Marks = []score.Mark{{Name: "wavy-line", Type: "start", Number: 1}, {Name: "wavy-line", Type: "stop", Number: 1}}
		}), ""},
		{"two slurs of one number", func(s *score.Score) {
			a, b := note(60, q(0), q(1)), note(60, q(1), q(1))
			slur("start")(&a)
			slur("start")(&b)
			c := note(60, q(2), q(1))
			slur("stop")(&c)
			s.Parts[0].Measures[1].Notes = []score.Note{a, b, c}
		}, "a slur's start without a stop"},
		{"half a slur that a repeat completes", func(s *score.Score) {
			a, b := note(60, q(0), q(1)), note(60, q(3), q(1))
			slur("stop")(&a)
			slur("start")(&b)
			m := s.Parts[0].Measures[1]
			m.Notes = []score.Note{a, b}
			m.Barlines = []score.Barline{{Location: "left", Repeat: "forward"}, {Location: "right", Repeat: "backward"}}
		}, "a slur's stop without a start"}, // the first time through

		{"direction", in(func(m *score.Measure) { m.Directions = []score.Direction{{Onset: q(5)}} }), "a direction at 5 is outside its measure of 4"},
		{"chord symbol", in(func(m *score.Measure) { m.Chords = []score.ChordSymbol{{Staff: 3}} }), "a chord symbol on staff 3 of 2"},
		{"barline", in(func(m *score.Measure) { m.Barlines = []score.Barline{{Onset: q(-1)}} }), "a barline at -1"},
		{"times", in(func(m *score.Measure) { m.Barlines = []score.Barline{{Times: -1}} }), "a repeat of -1 times"},
		{"other", in(func(m *score.Measure) { m.Others = []score.Other{{Name: "print", Onset: q(9)}} }), "a print at 9"},
		{"key", in(func(m *score.Measure) { m.Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: 15}}} }), "a key signature of 15 fifths"},
		{"clef", in(func(m *score.Measure) { m.Clefs = []score.ClefChange{{Staff: 3}} }), "a clef on staff 3"},
		{"transposition", in(func(m *score.Measure) { m.Transposes = []score.TransposeChange{{Staff: -1}} }), "a transposition on staff -1"},
		{"time", in(func(m *score.Measure) {
			m.Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{0}, Unit: 4}}}}}
		}), "a time signature with a number under 1"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := one(&score.Measure{}, &score.Measure{Notes: nil})
			s.Parts[0].Measures[0].Times = []score.TimeChange{{Time: commonTime()}}
			test.spoil(s)
			checkText(t, score.Check(s), test.want)
		})
	}
}

func checkText(t *testing.T, problems []error, want string) {
	t.Helper()
	text := errors.Join(problems...)
	switch {
	case want == "" && text != nil:
		t.Errorf("problems:\n%v", text)
	case want != "" && (text == nil || !strings.Contains(text.Error(), want)):
		t.Errorf("problems:\n%v\nwant %q", text, want)
	}
	for _, err := range problems {
		if _, ok := errors.AsType[*score.Error](err); !ok {
			t.Errorf("%v is no *score.Error", err)
		}
	}
}
