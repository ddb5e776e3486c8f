package voicing

import (
	"fmt"
	"strings"
	"testing"

	"undersong/score"
	"undersong/voicing/lead"
)

// TestAtBreaths: which notes of the example song's melody are inverted when
// some measures are to be, and whether a phrase is parted for it. Its phrases
// begin at 12 beat 4, 16 beat 4 and 20 beat 4 1/2.
func TestAtBreaths(t *testing.T) {
	s := lampSong(t)
	starts := s.Starts()
	for _, c := range []struct {
		name        string
		first, last int
		want        string
		parted      int
	}{
		{"a chorus, with its pickup", 13, 20, "12 beat 4 to 20 beat 1", 0},
		{"a phrase, with its pickup", 13, 16, "12 beat 4 to 16 beat 1", 0},
		{"a phrase but for its last measure", 13, 15, "12 beat 4 to 16 beat 1", 0},
		{"half a phrase", 13, 14, "12 beat 4 to 14 beat 4", 1},
		{"the middle of a phrase", 14, 14, "14 beat 1 to 14 beat 4", 2},
		{"the last measure of a phrase alone", 16, 16, "16 beat 1 to 16 beat 1", 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			from, to := starts[c.first-1], starts[c.last]
			o := Options{Voicing: Plain, Sections: []Section{{From: from, To: to, Voicing: Inverted}}}
			_, report := voiced(t, s, o)
			parted := 0
			for _, f := range report.Findings {
				if strings.Contains(f.Text, "the voicing changes here inside a phrase") {
					parted++
				}
			}
			if parted != c.parted {
				t.Errorf("%d places where a phrase is parted are told, not %d", parted, c.parted)
			}
			o, err := o.withDefaults()
			if err != nil {
				t.Fatal(err)
			}
			a := newArrangement(s, o)
			var inverted []*note
			for _, n := range a.with(tune) {
				if n.way == ways[Inverted] {
					inverted = append(inverted, n)
				}
			}
			at := func(n *note) string { p := a.place(0, n.Onset); return p.Measure + " beat " + p.Beat }
			if got := fmt.Sprintf("%s to %s", at(inverted[0]), at(inverted[len(inverted)-1])); got != c.want {
				t.Errorf("%s, not %s", got, c.want)
			}
		})
	}
}

// TestNamedMeasures: in every score, the measures that are named are voiced as
// asked, but for a phrase that ends in the first of them and a pickup in the
// last, and every other change of voicing inside a phrase is told.
func TestNamedMeasures(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		starts := s.Starts()
		for from := 0; from+3 < len(starts); from++ {
			o, err := Options{Voicing: Plain, Sections: []Section{{From: starts[from], To: starts[from+3], Voicing: Inverted}}}.withDefaults()
			if err != nil {
				t.Fatal(err)
			}
			a := newArrangement(s, o)
			for _, n := range a.with(tune) {
				m := a.measureAt(n.Onset)
				if n.way != ways[Inverted] && m == from+1 || n.way == ways[Inverted] && (m < from-1 || m > from+3) {
					t.Errorf("measures %d to %d inverted: the melody at %s is %v", from+1, from+3, n.Onset, n.way == ways[Inverted])
				}
			}
			a.tellSections()
			parted := 0
			for _, p := range a.line.Phrases {
				for i := p.First + 1; i < p.Last; i++ {
					if a.byTone[a.line.Tones[i]].way != a.byTone[a.line.Tones[i-1]].way {
						parted++
					}
				}
			}
			if len(a.report.Findings) != parted {
				t.Errorf("measures %d to %d inverted: %d phrases are parted, %d are told", from+1, from+3, parted, len(a.report.Findings))
			}
		}
	})
}

// TestPartedOnce: that a phrase is parted where the voicing changes is told once, not again
// for the octave that goes with it.
func TestPartedOnce(t *testing.T) {
	s := sung(score.Quarter, tuneOf(67, 69, 71, 72, 74, 72, 71, 69, 67, 69, 71, 72, 74, 72, 71, 69)...)
	_, report := voiced(t, s, Options{Voicing: Plain, Sections: []Section{{From: score.Quarters(8), To: score.Quarters(16), Voicing: Inverted}}})
	parted := 0
	for _, f := range report.Findings {
		if strings.Contains(f.Text, "inside a phrase") {
			parted++
		}
	}
	if parted != 1 {
		t.Errorf("told %d times: %v", parted, report.Findings)
	}
}

// TestToldInVain: an octave that cannot be had is told with why, and so is what a
// section asks for that changes nothing.
func TestToldInVain(t *testing.T) {
	s := lampSong(t)
	starts := s.Starts()
	octave, none := 2, 0
	section := func(v Voicing, m Manner) []Section {
		return []Section{{From: starts[12], To: starts[20], Voicing: v, Manner: m}}
	}
	for _, c := range []struct {
		name     string
		sections []Section
		want     string
	}{
		{"an octave out of reach", section(Inverted, Manner{Octave: &octave}), "the melody is moved an octave up and not into the octave that is asked for: 2 octaves up the keys have no D7"},
		{"one that is there", section(Plain, Manner{Octave: &none}), ""},
		{"a figure without symbols", section(Plain, Manner{Figure: lead.Rocking}), "from here to measure 20 the figure rocking changes nothing: it is for a lead sheet's chord symbols, and this is none"},
		{"notes of none", section(Plain, Manner{Alone: true, Notes: 2}), "from here to measure 20 notes, softer and figure change nothing where the melody is alone"},
		{"as written", section(AsWritten, Manner{Notes: 2}), "from here to measure 20 what else the plan says of it changes nothing: it is left as written"},
	} {
		_, report, err := Voice(s, Options{Voicing: Plain, Sections: c.sections})
		if err != nil {
			t.Fatal(err)
		}
		told := 0
		for _, f := range report.Findings {
			if f.Text == c.want {
				told++
			}
			if c.want == "" && strings.Contains(f.Text, "octave that is asked for") {
				t.Errorf("%s: %s", c.name, f.Text)
			}
		}
		if c.want != "" && told != 1 {
			t.Errorf("%s: told %d times: %v", c.name, told, report.Findings)
		}
	}
}

// TestTellRepeats: an ending that no time through comes to, and repeats that go back to a
// pickup which is played already, are told.
func TestTellRepeats(t *testing.T) {
	s := lampSong(t)
	for _, m := range s.Parts[0].Measures {
		for i := range m.Barlines {
			if b := &m.Barlines[i]; strings.HasPrefix(b.Ending.Numbers, "2") {
				b.Ending.Numbers = "9"
			}
		}
	}
	told := TellRepeats(s)
	if len(told) != 1 || !strings.Contains(told[0].Text, "is ever played") && !strings.Contains(told[0].Text, "never played") {
		t.Errorf("an ending for a ninth time: %v", told)
	}

	s = tuneAt(t, 60, "67 72 74 76 77 76 74 72:2 67")
	m := s.Parts[0].Measures[0]
	whole := m.Notes
	s.Parts[0].Measures = nil
	for i, notes := range [][]score.Note{whole[:1], whole[1:5], whole[5:]} {
		at := score.Time{}
		part := &score.Measure{Number: fmt.Sprint(i), Times: m.Times}
		for _, n := range notes {
			n.Onset = at
			at = at.Add(n.Length)
			part.Notes = append(part.Notes, n)
		}
		part.Length = at
		s.Parts[0].Measures = append(s.Parts[0].Measures, part)
	}
	last := s.Parts[0].Measures[2]
	last.Barlines = []score.Barline{{Onset: last.Length, Location: "right", Repeat: "backward"}}
	told = TellRepeats(s)
	if len(told) != 1 || told[0].Measure != "2" || !strings.Contains(told[0].Text, "lacks a forward repeat in measure 1") {
		t.Errorf("a repeat to a pickup that was played: %v", told)
	}
}
