package voicing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

// TestWordsOnce: words that another part has in the same measure, be it at another
// moment, are over the manual once; those of one staff stay as they are.
func TestWordsOnce(t *testing.T) {
	say := func(at score.Time, text string) score.Direction {
		return score.Direction{Onset: at, Staff: 1, Signs: []score.Sign{{Name: "words", Text: text}}}
	}
	s := measuresOf(nil, 72, []int{60}, []int{60})
	tune := &score.Part{ID: "P2", Staves: 1}
	for _, m := range s.Parts[0].Measures {
		tune.Measures = append(tune.Measures, &score.Measure{Number: m.Number, Length: m.Length, Notes: m.Notes[:1]})
	}
	s.Parts = append(s.Parts, tune)
	s.Parts[0].Measures[0].Directions = []score.Direction{say(score.Quarter, "ritenuto"), say(score.Time{}, "sempre"), say(score.Quarter, "sempre")}
	tune.Measures[0].Directions = []score.Direction{say(score.Time{}, "ritenuto")}
	tune.Measures[1].Directions = []score.Direction{say(score.Time{}, "ritenuto")}
	result, _ := voiced(t, s, Options{Voicing: Plain})
	if got := strings.Join(words(result), " "); got != "1 ritenuto 1 sempre 1 sempre 2 ritenuto" {
		t.Errorf("the result has %s", got)
	}
}

// words are those of a result with their measures.
func words(s *score.Score) (all []string) {
	for _, m := range s.Parts[0].Measures {
		for _, d := range m.Directions {
			for _, sign := range d.Signs {
				if sign.Name == "words" {
					all = append(all, m.Number+" "+sign.Text)
				}
			}
		}
	}
	return all
}

// TestSignsOnce: both hands have one fermata on their staff at a moment, and no
// mark of a level is there twice either.
func TestSignsOnce(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		for _, m := range o.result.Parts[0].Measures {
			seen := map[string]bool{}
			once := func(key ...any) {
				if k := fmt.Sprint(key...); seen[k] {
					t.Errorf("measure %s has twice: %s", m.Number, k)
				} else {
					seen[k] = true
				}
			}
			for _, n := range m.Notes {
				for _, k := range n.Marks {
					if k.Name == "fermata" {
						once(k.Name, n.Staff, n.Onset)
					}
				}
			}
			for _, d := range m.Directions {
				for _, sign := range d.Signs {
					if sign.Name == "dynamics" {
						once(sign.Name, d.Staff, d.Voice, d.Onset)
					}
				}
			}
		}
	})
}

// TestLevelsOnce: a mark that a part only repeats after another, while the melody takes a
// breath, is written once.
func TestLevelsOnce(t *testing.T) {
	s := sung(score.Quarter, []int{72, 48}, []int{76, 64, 67}, []int{74, 48}, []int{0, 64, 67}, []int{72, 48}, []int{74, 64, 67}, []int{76, 48}, []int{72, 64, 67})
	voice, piano := s.Parts[0], &score.Part{Staves: 1}
	for i, m := range voice.Measures {
		theirs := &score.Measure{Length: m.Length}
		for _, n := range m.Notes {
			if n.Staff == 2 {
				n.Staff = 1
				theirs.Notes = append(theirs.Notes, n)
			}
		}
		m.Notes = slices.DeleteFunc(m.Notes, func(n score.Note) bool { return n.Staff == 2 })
		piano.Measures = append(piano.Measures, theirs)
		if i == 0 {
			m.Notes[len(m.Notes)-1].Length = score.Quarter // the breath
			p := []score.Sign{{Name: "dynamics", Text: "p"}}
			m.Directions = []score.Direction{{Signs: p}}
			theirs.Directions = []score.Direction{{Onset: score.Quarters(3), Signs: p}}
		}
	}
	voice.Staves = 1
	s.Parts = append(s.Parts, piano)
	result, report := voiced(t, s, Options{Voicing: Plain})
	if marks := marksIn(result, lineOfMelody(result, report, 0)); len(marks) != 1 {
		t.Errorf("the melody is marked %v", marks)
	}
}

// TestRepeatOverPickup: a repeat that goes back over a pickup which has been struck
// already lacks its forward sign, which is told; one after it does not.
func TestRepeatOverPickup(t *testing.T) {
	piece := func(forward bool) *score.Score {
		s := measuresOf(nil, 72, []int{60}, []int{60}, []int{60})
		p := s.Parts[0]
		for _, i := range []int{0, 2} { // the pickup is the second quarter of each
			for k := range p.Measures[i].Notes {
				p.Measures[i].Notes[k].Onset, p.Measures[i].Notes[k].Length = score.Quarter, score.Quarter
			}
		}
		p.Measures[2].Barlines = []score.Barline{{Location: "right", Repeat: "backward", Onset: score.Quarters(2)}}
		if forward {
			p.Measures[1].Barlines = []score.Barline{{Location: "left", Repeat: "forward"}}
		}
		return s
	}
	for _, forward := range []bool{false, true} {
		_, report := voiced(t, piece(forward), Options{})
		told := false
		for _, f := range report.Findings {
			told = told || strings.Contains(f.Text, "forward")
		}
		if told == forward {
			t.Errorf("with a forward sign: %v, it is told: %v", forward, told)
		}
	}
}

// TestLinesOfTwoVoices: lines of one number that overlap in two voices are paired within
// each.
func TestLinesOfTwoVoices(t *testing.T) {
	s := scoretest.Score(t, "testdata/two-slurs-of-one-number.musicxml")
	result, report := voiced(t, s, Options{Voicing: Inverted})
	for _, c := range report.Changes {
		if c.What == "slur" {
			t.Errorf("%+v", c)
		}
	}
	ends := 0
	for _, m := range result.Parts[0].Measures {
		for _, n := range m.Notes {
			for _, mark := range n.Marks {
				if mark.Name == "slur" {
					ends++
				}
			}
		}
	}
	if ends != 4 {
		t.Errorf("%d ends of slurs, want 4", ends)
	}
}
