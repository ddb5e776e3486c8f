// Package songbook is the account of many scores that were voiced: a row for
// each, what needs a person's eye first.
//
// It voices nothing and reads no score.
package songbook

import (
	"fmt"

	"undersong/voicing/check"
	"undersong/voicing/compare"
	"undersong/voicing/melody"
	"undersong/voicing/study"
)

// Row is what became of a score on a tower. As JSON its fields are stable.
type Row struct {
	compare.Row          // Name is the score's
	Tower       string   `json:"tower"`
	Verdicts    Verdicts `json:"verdicts"`
	// Sure is how sure the melody is on the mean of its notes, in per cent.
	Sure  int `json:"sure"`
	Notes int `json:"notes"` // of the source, tied notes once
	// Findings counts those of the result by category.
	Findings map[check.Category]int `json:"findings,omitempty"`
	// Seconds is the time it took; reading and analysing a score counts for the
	// first of its towers.
	Seconds float64 `json:"seconds"`
	Out     string  `json:"out,omitempty"` // the file written, under the folder of results
	// Look is why a person should look at it, "" of no reason.
	Look string `json:"look,omitempty"`
}

// Verdicts counts the sections of a score by whether they would go inverted.
type Verdicts struct {
	Yes        int `json:"yes"`
	WithCare   int `json:"withCare"`
	LeavePlain int `json:"leavePlain"`
}

// Of is the row of a score that was studied and voiced. It keeps no score, for
// there may be thousands.
func Of(s *study.Study, voiced compare.Row) Row {
	r := Row{Row: voiced, Sure: s.Sure}
	for _, sec := range s.Sections {
		switch sec.Verdict.Inverted {
		case study.Yes:
			r.Verdicts.Yes++
		case study.WithCare:
			r.Verdicts.WithCare++
		case study.LeavePlain:
			r.Verdicts.LeavePlain++
		}
	}
	if voiced.Report != nil {
		r.Notes = voiced.Report.Notes.Source
	}
	if voiced.Check != nil {
		r.Findings = voiced.Check.Totals
	}
	r.Source, r.Result, r.Report, r.Check = nil, nil, nil, nil
	return r
}

// LeftOut is how many notes of the source are not in the result.
func (r *Row) LeftOut() int { return r.Merged + r.Dropped }

// Found is how many findings there are.
func (r *Row) Found() (n int) {
	for _, c := range r.Findings {
		n += c
	}
	return n
}

// need is what calls for a person's eye: the higher the rank, and the greater
// the amount in it, the sooner.
type need struct {
	rank, amount int
	text         string
}

// need is the strongest reason to look at a row.
func (r *Row) need() need {
	switch {
	case r.Error != "":
		return need{5, 0, "failed"}
	case r.Unplayable > 0:
		return need{4, r.Unplayable, fmt.Sprintf("unplayable: %d", r.Unplayable)}
	case r.Sure < melody.SureEnough:
		return need{3, 100 - r.Sure, fmt.Sprintf("melody sure to %d %% only", r.Sure)}
	case r.MelodyMoved > 0:
		return need{2, r.MelodyMoved, fmt.Sprintf("melody elsewhere: %d", r.MelodyMoved)}
	case r.Found() > 0:
		return need{1, r.Found(), fmt.Sprintf("findings: %d", r.Found())}
	}
	return need{}
}
