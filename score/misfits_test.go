package score_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// TestMisfits: measures that are too long or too short for their time, and what is
// rightly short.
func TestMisfits(t *testing.T) {
	for _, c := range []struct {
		name, line string
		lengths    string // "2=3": measure 2 has three quarter notes
		change     func(*score.Score)
		want       string // numbers of measures
	}{
		{name: "all fit", line: "1 2 3"},
		{name: "too short", line: "1 2 3 4", lengths: "2=3", want: "2"},
		{name: "too long", line: "1 2 3 4", lengths: "1=5 3=8 4=6", want: "1 3 4"},
		{name: "pickup and last", line: "0 1 2 3", lengths: "0=1 3=2"},
		{name: "split at a bar line of no kind", line: "1 2 3 4 5", lengths: "2=3 3=1"},
		{name: "halves that are no whole", line: "1 2 3 4 5", lengths: "2=3 3=2", want: "2 3"},
		{name: "split by a repeat", line: "1 2 :| 3 4 5", lengths: "2=3 3=1"},
		{name: "back to the pickup", line: "0 1 2 :| 3 4 5", lengths: "0=1 2=3"},
		{name: "not back to the pickup", line: "0 1 2 :| 3 4 5", lengths: "0=1 2=2", want: "2"},
		{name: "short where no sign is", line: "0 1 2 3 4 5", lengths: "0=1 2=3", want: "2"},
		{name: "endings", line: "0 1 |: 2 [1 3 ] :| [2 4 ] 5 6 7", lengths: "0=1 3=3"},
		{name: "half a measure at a repeat", line: "1 2 :| 3 4 5", lengths: "2=2", want: "2"},
		{name: "half a measure and another", line: "1 2 :| 3 4 :| 5 6", lengths: "2=2 4=2"},
		{name: "the next time, written out", line: "0 1 2 0b 1b 2b 3 4", lengths: "0=1 2=3 0b=1 2b=3"},
		{name: "not counted", line: "1 2 3 4 5", lengths: "2=9 4=1", change: func(s *score.Score) {
			s.Parts[0].Measures[1].Implicit, s.Parts[0].Measures[3].Implicit = true, true
		}},
		{name: "no metre", line: "1 2 3 4", lengths: "2=9 3=7", change: func(s *score.Score) {
			s.Parts[0].Measures[1].Times = []score.TimeChange{{}}
		}},
		{name: "another metre", line: "1 2 3 4", lengths: "2=3 3=4", change: func(s *score.Score) {
			s.Parts[0].Measures[1].Times = []score.TimeChange{{Time: threeFour}}
		}, want: "3 4"},
		{name: "another metre inside", line: "1 2 3 4", lengths: "2=5 3=3 4=3", change: func(s *score.Score) {
			s.Parts[0].Measures[1].Times = []score.TimeChange{{Onset: score.Quarters(2), Time: threeFour}}
		}},
		{name: "two metres at once", line: "1 2 3", lengths: "2=3", change: func(s *score.Score) {
			s.Parts[0].Measures[0].Times = []score.TimeChange{{Staff: 1, Time: commonTime()}, {Staff: 2, Time: threeFour}}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := sketch(t, c.line)
			for what := range strings.FieldsSeq(c.lengths) {
				number, quarters, _ := strings.Cut(what, "=")
				measure(t, s, number).Length = score.Quarters(int64(quarters[0] - '0'))
			}
			if c.change != nil {
				c.change(s)
			}
			var got []string
			for _, f := range s.Misfits() {
				got = append(got, s.MeasureNumber(f.Measure))
			}
			if strings.Join(got, " ") != c.want {
				t.Errorf("%v, want %q", got, c.want)
			}
		})
	}
}

var threeFour = score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{3}, Unit: 4}}}

// TestMisfitText: a line, with the first places, whatever the names.
func TestMisfitText(t *testing.T) {
	s := sketch(t, "1 2 3 4 5 6")
	other := *s.Parts[0]
	other.ID, other.Name, s.Parts[0].Name = "P2", "Bass\nclarinet", "Bells"
	other.Measures = sketch(t, "1 2 3 4 5 6").Parts[0].Measures
	s.Parts = append(s.Parts, &other)
	for _, c := range []struct {
		part, measure int
		length        score.Time
		want          string
	}{
		{0, 1, score.Frac(7, 2), "part Bells, measure 2 has 3 1/2 quarter notes, 4/4 holds 4: correct"},
		{1, 1, score.Quarter, `measures do not fit their time signature in 2 places (part Bells, measure 2 has 3 1/2 quarter notes, 4/4 holds 4; part Bass\nclarinet, measure 2 has 1 quarter note, 4/4 holds 4): correct`},
		{0, 3, score.Frac(1, 2), "in 3 places ("},
		{0, 0, score.Quarters(5), "measures do not fit their time signature in 4 places (part Bells, measure 1 has 5 quarter notes, 4/4 holds 4; part Bells, measure 2 has"},
		{0, 0, score.Quarters(5), "measure 2 has 1 quarter note, 4/4 holds 4; and 1 more): correct"},
	} {
		s.Parts[c.part].Measures[c.measure].Length = c.length
		if got := s.MisfitText(); !strings.Contains(got, c.want) || strings.Contains(got, "\n") {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
	s.Parts[0].Name = other.Name
	if got := s.MisfitText(); !strings.Contains(got, "(part P1, measure 1 has") {
		t.Errorf("two parts of one name: %s", got)
	}
}

func TestTimeSignatureString(t *testing.T) {
	got := []string{threeFour.String(), score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{3, 2}, Unit: 8}, {Beats: []int{1}, Unit: 4}}}.String(), score.TimeSignature{}.String()}
	if diff := cmp.Diff([]string{"3/4", "3+2/8+1/4", ""}, got); diff != "" {
		t.Error(diff)
	}
}
