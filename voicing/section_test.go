package voicing

import (
	"bytes"
	"regexp"
	"testing"

	"undersong/score"
	"undersong/score/musicxml"
)

// TestAsWritten: through the voicing of a score, the measures of a section
// that is left as written come out byte for byte, sound what they did, and the
// rest is voiced.
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
		was, is := measures(source.Bytes()), measures(out.Bytes())
		for i := range was {
			kept := i >= from && i < to
			if kept {
				left++
			}
			if kept != bytes.Equal(was[i], is[i]) {
				t.Errorf("measure %s: as it was: %v", s.Parts[0].Measures[i].Number, !kept)
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
