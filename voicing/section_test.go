package voicing

import (
	"bytes"
	"regexp"
	"testing"

	"undersong/score"
	"undersong/score/musicxml"
)

// TestAsWritten: through the voicing of a score, the measures of a section
// that is left as written come out byte for byte but for lines that go on beyond
// it, sound what they did, and the rest is voiced.
func TestAsWritten(t *testing.T) {
	left := 0
	eachDocument(t, func(t *testing.T, doc *musicxml.Document) {
		s := doc.Score()
		starts := s.Starts()
		from, to := len(starts)/3, len(starts)/3+max(1, len(starts)/4)
		if len(s.Parts) != 1 || s.Parts[0].Staves > 2 || to >= len(starts) {
			t.Skip("not one part on at most two staves, or too short")
		}
		o := Options{Sections: []Section{{From: starts[from], To: starts[to], Voicing: AsWritten}}}
		result, report, err := Voice(s, o)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(result.Tones()); got != report.Notes.Written {
			t.Errorf("%d notes, the report says %d", got, report.Notes.Written)
		}
		var source, out bytes.Buffer
		if err := doc.Write(&source, s); err != nil {
			t.Fatal(err)
		}
		if err := doc.Write(&out, result); err != nil {
			t.Fatal(err)
		}
		cut := map[string]bool{}
		for _, c := range report.Changes {
			if c.LeftOut == "its other end is gone" {
				cut[c.Measure] = true
			}
		}
		was, is := measures(source.Bytes()), measures(out.Bytes())
		for i := range was {
			kept := i >= from && i < to
			if kept {
				left++
			}
			if number := s.Parts[0].Measures[i].Number; kept != bytes.Equal(was[i], is[i]) && !cut[number] {
				t.Errorf("measure %s: as it was: %v", number, !kept)
			}
		}
		again, err := musicxml.Read(&out, "result", musicxml.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		inside := func(s *score.Score) (pitches []string) {
			for _, tone := range s.Tones() {
				if !tone.Onset.Less(starts[from]) && tone.Onset.Less(starts[to]) {
					pitches = append(pitches, tone.Onset.String()+" "+tone.Pitch.String())
				}
			}
			return pitches
		}
		if a, b := inside(s), inside(again.Score()); !equal(a, b) {
			t.Errorf("the section sounds %v, not %v", b, a)
		}
	})
	if left == 0 {
		t.Error("no measure was left as written")
	}
}

// TestSeams: wherever a section begins and ends that is left as written, no
// line and no tie is left with one end, the source keeps all of its, and what a
// line lost is in the report.
func TestSeams(t *testing.T) {
	closed := 0
	eachScore(t, func(t *testing.T, s *score.Score) {
		if len(s.Parts) != 1 || s.Parts[0].Staves > 2 {
			t.Skip("not one part on at most two staves")
		}
		starts := s.Starts()
		problems := len(score.Check(s))
		for from := 0; from+1 < len(starts); from++ {
			to := min(from+1+from%4, len(starts)-1)
			o := Options{Sections: []Section{{From: starts[from], To: starts[to], Voicing: AsWritten}}}
			result, report, err := Voice(s, o)
			if err != nil {
				t.Fatal(err)
			}
			if found := score.Check(result); len(found) > problems {
				t.Errorf("measures %d to %d as written: %v", from+1, to, found)
			}
			for _, c := range report.Changes {
				if c.LeftOut == "its other end is gone" {
					closed++
				}
			}
		}
		if len(score.Check(s)) != problems {
			t.Error("the source has changed")
		}
	})
	if closed == 0 {
		t.Error("no seam lost the end of a line: this tests nothing")
	}
}

func measures(file []byte) [][]byte {
	return regexp.MustCompile(`(?s)<measure .*?</measure>`).FindAll(file, -1)
}

func equal(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}
