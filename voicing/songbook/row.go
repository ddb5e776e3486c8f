// Package songbook is the account of many scores that were voiced: a row for
// each, what needs a person's eye first.
//
// It voices nothing and reads no score.
package songbook

import (
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/compare"
	"undersong/voicing/plan"
	"undersong/voicing/study"
)

// Row is what became of a score on a tower. As JSON its fields are stable. Of one that
// failed only Name, Tower, Error and Look tell anything: the figures are 0.
type Row struct {
	compare.Row        // Name is the score's, see [Name]
	Title       string `json:"title,omitempty"`
	Tower       string `json:"tower"`
	// Asked is the difficulty that was asked for, 0 where the score was not voiced.
	Asked int `json:"difficultyAsked,omitempty"`
	// Against is how many of these sections are to be left plain, where all of
	// the score was inverted.
	Against int `json:"against,omitempty"`
	// Sure is how sure the melody is on the mean of its notes, in per cent.
	Sure        int `json:"sure"`
	MelodyNotes int `json:"melodyNotes"`
	// Measures, and strokes of bells in them, that the result has.
	Measures int `json:"measures"`
	Strokes  int `json:"strokes"`
	// Findings counts those of the result by category.
	Findings map[check.Category]int `json:"findings,omitempty"`
	// Seconds is the time it took; reading and analysing a score counts for the
	// first of its towers.
	Seconds float64 `json:"seconds"`
	Out     string  `json:"out,omitempty"` // the file written, the [Name] of its path under the folder of results
	// Page and ReportFile are the files beside it, where they are asked for.
	Page       string `json:"page,omitempty"`
	ReportFile string `json:"report,omitempty"`
	// Absent is what the score has not of what is to be voiced otherwise, such as
	// a chorus; Told what else was to be said of its plan, such as that its repeats
	// are written out.
	Absent []string `json:"absent,omitempty"`
	Told   []string `json:"told,omitempty"`
	// Notices are what is likely wrong in the file, as score.Score has them.
	Notices []string `json:"notices,omitempty"`
	// Look is why a person should look at it, the reason that concerns most of it
	// first; "" without a reason.
	Look string `json:"look,omitempty"`
}

// Of is the row of a score that was studied and voiced. It keeps no score, for
// there may be thousands.
func Of(s *study.Study, voiced compare.Row) Row {
	r := Row{Row: voiced, Sure: s.Sure, Notices: s.Notices}
	r.Verdicts = s.Verdicts()
	if report := voiced.Report; report != nil {
		r.Title, r.MelodyNotes, r.Asked = report.Title, report.Melody.Notes, report.Difficulty
		for _, f := range report.Findings {
			switch {
			case plan.Absent(f):
				r.Absent = append(r.Absent, f.Text)
			case f.Pass == plan.Pass:
				r.Told = append(r.Told, f.Text)
			}
		}
		if report.Voicing == voicing.Inverted && len(report.Sections) == 0 {
			r.Against = r.Verdicts.LeavePlain
		}
	}
	if found := voiced.Check; found != nil {
		r.Findings, r.Measures, r.Strokes = found.Totals, len(found.Measures), found.Strokes
	}
	r.Source, r.Result, r.Report, r.Check = nil, nil, nil, nil
	return r
}

// LeftOut is how many notes of the source are not in the result.
func (r *Row) LeftOut() int { return r.Merged + r.Dropped }
