package melody

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
)

func TestParseOverrule(t *testing.T) {
	tests := []struct {
		text string
		want Overrule
		err  string // a part of the error
	}{
		{"staff=1,voice=2", Overrule{Staff: 1, Voice: 2}, ""},
		{"part=Voice", Overrule{Part: "Voice"}, ""},
		{"part=Voice,measures=9-16", Overrule{Part: "Voice", First: "9", Last: "16"}, ""},
		{"part=Piano, left,staff=1", Overrule{Part: "Piano, left", Staff: 1}, ""},
		{"staff=2, measures=12a", Overrule{Staff: 2, First: "12a", Last: "12a"}, ""},
		{"staff=2,measures=5-", Overrule{Staff: 2, First: "5"}, ""},
		{"part=Voice,measures=9-16", Overrule{Part: "Voice", First: "9", Last: "16"}, ""},
		{"none,measures=1-4", Overrule{None: true, First: "1", Last: "4"}, ""},
		{"measures=5-,none", Overrule{None: true, First: "5"}, ""},
		{"part=Piano,none", Overrule{}, "none goes with measures"},
		{"none=yes,measures=1-2", Overrule{}, "none has no value"},
		{"none", Overrule{}, "none goes with measures"},
		{"none,staff=1,measures=1-4", Overrule{}, "none goes with measures"},
		{"staff=2,measures=1-2,measures=5-6", Overrule{}, "measures is there twice"},
		{"staff=1,staff=2", Overrule{}, "staff is there twice"},
		{"part=Piano,measures=1-4,9-12", Overrule{}, `"9-12" has no value`},
		{"", Overrule{}, "has no value"},
		{"measures=1-2", Overrule{}, "names no part, staff or voice"},
		{"staff=x", Overrule{}, `staff "x" is not a number from 1 up`},
		{"staff=0", Overrule{}, `staff "0" is not a number from 1 up`},
		{"stave=1", Overrule{}, `unknown key "stave": known are part, staff, voice, measures, none`},
	}
	for _, test := range tests {
		got, err := ParseOverrule(test.text)
		if test.err == "" && err != nil || test.err != "" && (err == nil || !strings.Contains(err.Error(), test.err)) {
			t.Errorf("%q: error %v, want %q", test.text, err, test.err)
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%q (-want +got):\n%s", test.text, diff)
		}
		if again, err := ParseOverrule(got.String()); test.err == "" && (err != nil || again != got) {
			t.Errorf("%q is written as %q, which reads as %+v, %v", test.text, got.String(), again, err)
		}
	}
}

func TestOverrule(t *testing.T) {
	s := &score.Score{Parts: []*score.Part{
		write("Voice", worded(72, 74, 76, 77)...), write("Piano", plain(60, 62, 64, 65)...),
	}}
	for _, p := range s.Parts {
		again := *p.Measures[0]
		again.Number = "2"
		p.Measures = append(p.Measures, &again)
	}
	tones := s.Tones()
	if line := Find(s, tones, Options{Overrules: []Overrule{{None: true, First: "2", Last: "2"}}}); len(line.Tones) != 4 || line.SureOfAll() != 100 {
		t.Errorf("%d notes, sure to %d %%, where none are in the second measure", len(line.Tones), line.SureOfAll())
	}
	line := Find(s, tones, Options{Overrules: []Overrule{{Part: "Piano", First: "2"}}})
	if diff := cmp.Diff([]int{72, 74, 76, 77, 60, 62, 64, 65}, pitches(tones, line)); diff != "" {
		t.Errorf("pitches (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]bool{true, true}, line.Told); diff != "" {
		t.Errorf("measures whose melody is told (-want +got):\n%s", diff)
	}
	if want := "the sung line of part Voice, overruled by part=Piano,measures=2-"; line.From != want {
		t.Errorf("from %q, want %q", line.From, want)
	}
}

// TestToldIsSure: what the user says is sure, though the finder had the same notes and doubted them.
func TestToldIsSure(t *testing.T) {
	doubted := 0
	for _, o := range scoretest.Openings(t, "openings.txt") {
		tones := o.Score.Tones()
		found := Find(o.Score, tones, Options{})
		if found.SureOfAll() == 100 {
			continue
		}
		doubted++
		for staff := range 2 {
			rule := Overrule{Staff: staff + 1}
			if line := Find(o.Score, tones, Options{Overrules: []Overrule{rule}}); line.SureOfAll() != 100 {
				t.Errorf("%s: %s is sure to %d %%", o.Title, rule, line.SureOfAll())
			}
		}
	}
	if doubted == 0 {
		t.Error("the finder doubted nothing: this tests nothing")
	}
}

// What is told of a part of a phrase makes only that sure.
func TestToldInPart(t *testing.T) {
	for _, o := range scoretest.Openings(t, "openings.txt") {
		tones := o.Score.Tones()
		before := Find(o.Score, tones, Options{})
		if before.Phrases[0].Sure == 100 {
			continue
		}
		line := Find(o.Score, tones, Options{Overrules: []Overrule{{Staff: 1, First: "1", Last: "1"}}})
		for _, p := range line.Phrases {
			untold := 0
			for _, i := range line.Tones[p.First:p.Last] {
				if tones[i].Pieces[0].Measure > 0 {
					untold++
				}
			}
			if untold > 0 && before.SureOfAll() < 90 && p.Sure == 100 {
				t.Errorf("%s: sure to 100 %% of %d notes of which nobody told", o.Title, untold)
			}
		}
	}
}

func TestCheck(t *testing.T) {
	s := &score.Score{Parts: []*score.Part{write("Voice", plain(72, 74)...)}}
	tones := s.Tones()
	for text, ok := range map[string]bool{
		"part=Voice": true, "part=voice": true, "part=Flute": false, "staff=2": false, "staff=1,measures=1": true, "staff=1,measures=7-9": false, "none,measures=1": true, "none,measures=7-9": false,
	} {
		o, err := ParseOverrule(text)
		if err != nil {
			t.Fatal(err)
		}
		if err := o.Check(s, tones); (err == nil) != ok {
			t.Errorf("%s: error %v", text, err)
		}
	}
}
