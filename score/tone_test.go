package score_test

import (
	"fmt"
	"strings"
	"testing"

	"undersong/score"
)

// note is a pitched note of staff 1 and voice 1.
func note(midi int, onset, length score.Time) score.Note {
	return score.Note{Staff: 1, Voice: 1, Pitch: score.Spell(midi), Onset: onset, Length: length}
}

func tied(n score.Note, start, stop bool) score.Note {
	n.TieStart, n.TieStop = start, stop
	return n
}

func grace(midi int, onset score.Time) score.Note {
	n := note(midi, onset, score.Time{})
	n.Grace = true
	return n
}

// one is a score of one part.
func one(measures ...*score.Measure) *score.Score {
	for i, m := range measures {
		m.Number = fmt.Sprint(i + 1)
		m.Length = score.Whole
	}
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 2, Measures: measures}}}
}

func TestTones(t *testing.T) {
	q := score.Quarters
	rest, cue := note(60, q(0), q(4)), note(64, q(0), q(1))
	rest.Kind, cue.Cue, cue.Hidden = score.Rest, true, true
	voice2 := func(n score.Note) score.Note {
		n.Voice = 2
		return n
	}
	low := note(48, q(0), q(1))
	low.Staff = 2
	for _, test := range []struct {
		name  string
		notes [][]score.Note // by measure
		want  string         // pitch@onset+length×pieces
	}{
		{"low to high", [][]score.Note{{note(67, q(0), q(1)), note(60, q(0), q(1))}}, "C4@0+1×1 G4@0+1×1"},
		{"rests are none, cues are", [][]score.Note{{rest, cue}}, "E4@0+1×1"},
		{"grace notes first", [][]score.Note{{grace(90, q(1)), grace(40, q(1)), note(60, q(1), q(1))}}, "F#6@1+0×1 E2@1+0×1 C4@1+1×1"},
		{"tie over the barline", [][]score.Note{{tied(note(60, q(2), q(2)), true, false)}, {tied(note(60, q(0), q(1)), false, true)}}, "C4@2+3×2"},
		{"tie of three", [][]score.Note{
			{tied(note(60, q(3), q(1)), true, false)}, {tied(note(60, q(0), q(4)), true, true)}, {tied(note(60, q(0), q(1)), false, true)},
		}, "C4@3+6×3"},
		{"a tie over a gap", [][]score.Note{{tied(note(60, q(0), q(1)), true, false), tied(note(60, q(2), q(1)), false, true)}}, "C4@0+1×1 C4@2+1×1"},
		{"a tie to another pitch", [][]score.Note{{tied(note(60, q(0), q(1)), true, false), tied(note(61, q(1), q(1)), false, true)}}, "C4@0+1×1 C#4@1+1×1"},
		{"half a tie", [][]score.Note{{tied(note(60, q(0), q(1)), true, false), note(60, q(1), q(1))}}, "C4@0+1×1 C4@1+1×1"},
		{"document order is not time", [][]score.Note{{tied(note(60, q(1), q(1)), false, true), tied(note(60, q(0), q(1)), true, false)}}, "C4@0+2×2"},
		{"ties of one pitch in two voices", [][]score.Note{{
			tied(note(60, q(0), q(2)), true, false), voice2(tied(note(60, q(1), q(1)), true, false)),
			voice2(tied(note(60, q(2), q(2)), false, true)), tied(note(60, q(2), q(1)), false, true),
		}}, "C4@0+3×2 C4@1+3×2"},
		{"a tie into another voice", [][]score.Note{{
			tied(note(60, q(0), q(2)), true, false), voice2(tied(note(60, q(2), q(2)), false, true)),
		}}, "C4@0+4×2"},
		{"two staves", [][]score.Note{{note(60, q(0), q(1)), low}}, "C3@0+1×1 C4@0+1×1"},
	} {
		t.Run(test.name, func(t *testing.T) {
			var measures []*score.Measure
			for _, notes := range test.notes {
				measures = append(measures, &score.Measure{Notes: notes})
			}
			if got := tonesText(one(measures...)); got != test.want {
				t.Errorf("tones %s, want %s", got, test.want)
			}
		})
	}
}

func tonesText(s *score.Score) string {
	var all []string
	for _, tone := range s.Tones() {
		if tone.End() != tone.Onset.Add(tone.Length) || tone.First() != tone.Pieces[0].Note {
			return "a tone that does not agree with itself"
		}
		all = append(all, fmt.Sprintf("%s@%s+%s×%d", tone.Pitch, tone.Onset, tone.Length, len(tone.Pieces)))
	}
	return strings.Join(all, " ")
}

func TestTonesTransposed(t *testing.T) {
	q := score.Quarters
	low := note(60, q(1), q(1))
	low.Staff = 2
	s := one(
		&score.Measure{
			Notes: []score.Note{note(60, q(0), q(1)), low, tied(note(60, q(2), q(2)), true, false)},
			Transposes: []score.TransposeChange{
				{Staff: 1, Transposition: score.Transposition{Letters: -1, Semitones: -2}},
				{Onset: q(2), Transposition: score.Transposition{Letters: 7, Semitones: 12}},
			},
		},
		&score.Measure{Notes: []score.Note{tied(note(60, q(0), q(1)), false, true), note(62, q(1), q(1))}},
	)
	want := "Bb3@0+1×1 C4@1+1×1 C5@2+3×2 D5@5+1×1"
	if got := tonesText(s); got != want {
		t.Errorf("tones %s, want %s", got, want)
	}
}

func TestStarts(t *testing.T) {
	s := one(&score.Measure{}, &score.Measure{})
	s.Parts = append(s.Parts, &score.Part{ID: "P2", Staves: 1, Measures: []*score.Measure{{Length: score.Quarters(6)}}})
	if got, want := fmt.Sprint(s.Starts()), "[0 6 10]"; got != want {
		t.Errorf("starts %s, want %s", got, want)
	}
	n := note(60, score.Quarter, score.Quarter)
	if !n.Plays() || n.End() != score.Quarters(2) {
		t.Errorf("%+v plays %t, ends %s", n, n.Plays(), n.End())
	}
}
