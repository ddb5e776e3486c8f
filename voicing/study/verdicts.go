package study

import (
	"fmt"
	"strings"
)

// Verdicts counts sections by whether they would go inverted.
type Verdicts struct {
	Yes        int `json:"yes"`
	WithCare   int `json:"withCare"`
	LeavePlain int `json:"leavePlain"`
}

// Verdicts counts the sections of a study that have a melody.
func (s *Study) Verdicts() Verdicts {
	var v Verdicts
	for _, sec := range s.Sections {
		switch sec.Verdict.Inverted {
		case Yes:
			v.Yes++
		case WithCare:
			v.WithCare++
		case LeavePlain:
			v.LeavePlain++
		}
	}
	return v
}

// Sections is how many there are.
func (v Verdicts) Sections() int { return v.Yes + v.WithCare + v.LeavePlain }

// String is such as "2 yes, 1 with care".
func (v Verdicts) String() string {
	var parts []string
	for _, p := range []struct {
		n    int
		what string
	}{{v.Yes, Yes}, {v.WithCare, WithCare}, {v.LeavePlain, LeavePlain}} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", p.n, p.what))
		}
	}
	return strings.Join(parts, ", ")
}
