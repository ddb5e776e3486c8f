package harmony

import (
	"fmt"
	"strings"
	"testing"

	"undersong/score"
)

// TestSweep: notes reached by step, marked here by >, and the moments of full chords.
func TestSweep(t *testing.T) {
	for _, c := range []struct{ what, voices, steps, full string }{
		{"steps and leaps", "1: C4=1/2 D4 F4 F#4 F4 F4", "C4 D4> F4 F#4> F4> F4", ""},
		{"a note that is held is not left", "1: C4=1\n1: E4=1/2 D4", "C4 E4 D4>", ""},
		{"nor is one that ended before", "1: C4=1/2 r D4", "C4 D4", ""},
		{"from one voice to another", "1: C4=1/2 r\n1: r=1/2 D4", "C4 D4>", ""},
		{"full chords", "1: C4+E4+G4=1/2 D4+F4 E4+A4+C5\n2: G2=1 A2=1/2", "G2 C4 E4 G4 D4> F4> A2> E4> A4 C5", "0 1"},
		{"a triad of which one note is held", "1: D4+F4=1/2 E4+G4\n2: C3=1", "C3 D4 F4 E4> G4>", "0 1/2"},
	} {
		s := voices(t, "4", c.voices).score(0, false)
		tones := s.Tones()
		full, steps := sweep(tones)
		var got, at []string
		for i := range tones {
			name := tones[i].Pitch.String()
			if steps[i] {
				name += ">"
			}
			got = append(got, name)
		}
		for _, t := range full {
			at = append(at, t.String())
		}
		if got, at := strings.Join(got, " "), strings.Join(at, " "); got != c.steps || at != c.full {
			t.Errorf("%s: %s, full at %q; want %s, at %q", c.what, got, at, c.steps, c.full)
		}
	}
}

// Steps are within a part.
func TestStepsInParts(t *testing.T) {
	one, other := voices(t, "4", "1: C4=1/2 r").score(0, false), voices(t, "4", "1: r=1/2 D4").score(0, false)
	s := &score.Score{Parts: append(one.Parts, other.Parts...)}
	if _, steps := sweep(s.Tones()); fmt.Sprint(steps) != "[false false]" {
		t.Error(steps)
	}
}
