// Package compare sets ways of voicing a score side by side: several plans for
// one tower, or several towers for one plan.
//
// It arranges and checks each and sums up what the reports say. It prefers none:
// that is for the player.
package compare

import (
	"fmt"
	"slices"

	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/form"
	"undersong/voicing/plan"
	"undersong/voicing/ringing"
	"undersong/voicing/study"
)

// Row is one way and what it comes to. As JSON its fields are stable.
type Row struct {
	Name  string `json:"name"` // of the variant, the tower or the score
	Error string `json:"error,omitempty"`
	// Verdicts is how many sections would go inverted there; zero where that is
	// not asked.
	Verdicts study.Verdicts `json:"verdicts,omitzero"`
	// Difficulty is 1 to 5, as check.Difficulty has it.
	Difficulty int `json:"difficulty"`
	// Margin is how many dB the melody is louder than what is struck with it, in
	// the middle measure; nil where nothing is.
	Margin *float64 `json:"margin"`
	// Blurred is in how many measures what still rings beats against what is
	// struck more strongly than it sounds itself.
	Blurred    int `json:"blurredMeasures"`
	Unplayable int `json:"unplayable"` // strokes that no player can do, as check.Finding has it
	Notes      int `json:"notes"`      // of the source, tied notes once; each time where repeats are written out
	Moved      int `json:"moved"`      // of these, by octaves or later
	Merged     int `json:"merged"`
	Dropped    int `json:"dropped"`
	// MelodyMoved is how many notes of the melody are moved by other octaves than
	// most of those in one section: where the line had to break.
	MelodyMoved int `json:"melodyMoved"`
	// Key is the transposition that would suit better, in semitones; 0 of none.
	Key int `json:"betterKey,omitempty"`

	Source *score.Score    `json:"-"`
	Result *score.Score    `json:"-"`
	Report *voicing.Report `json:"-"`
	Check  *check.Report   `json:"-"` // of Result
}

// Variant is a plan with a name.
type Variant struct {
	Name string
	Plan *plan.Plan
}

// Variants are the sensible ways to voice a piece that was studied: plain and
// inverted as a whole, what the verdicts come to, and with the tune in the left
// hand for the verses, or all through where there are none.
func Variants(s *study.Study) []Variant {
	all := []Variant{
		{"plain", &plan.Plan{Voicing: voicing.Plain}},
		{"inverted", &plan.Plan{Voicing: voicing.Inverted}},
		{"covered", &plan.Plan{Voicing: voicing.Covered}},
	}
	auto := plan.Auto(s)
	if len(auto.Items) > 0 {
		all = append(all, Variant{"auto", auto})
	}
	tenor := Variant{"tenor", &plan.Plan{Voicing: voicing.Tenor}}
	for _, sec := range s.Sections {
		if sec.Kind == string(form.Verse) && len(s.Sections) > 1 {
			tenor = Variant{"tenor-verse", &plan.Plan{Voicing: voicing.Plain}}
			tenor.Plan.Items = append([]plan.Item{{Where: string(form.Verse), Voicing: voicing.Tenor}}, auto.Items...)
			break
		}
	}
	return append(all, tenor)
}

// Voice voices an analysed score by a plan and checks the result. What no plan
// says is taken from with: tower and melody.
func Voice(name string, a *study.Analysis, p *plan.Plan, with voicing.Options) Row {
	row := Row{Name: name}
	s, o, err := p.Resolve(a)
	if err == nil {
		o.Tower, o.Melody = with.Tower, with.Melody
		row.Source = s
		row.Result, row.Report, err = voicing.Voice(s, o)
	}
	if err != nil {
		row.Error = err.Error()
		return row
	}
	row.count()
	found, err := check.Score(row.Result, check.Options{Tower: with.Tower, Tune: row.Report.Tune})
	if err != nil {
		row.Error = fmt.Sprintf("the result cannot be checked: %v", err)
		return row
	}
	row.Check = found
	row.check(found)
	return row
}

// count sums up the report.
func (r *Row) count() {
	n := r.Report.Notes
	r.Notes = n.Source
	r.Moved, r.Merged, r.Dropped = n.Moved, n.Merged, n.Dropped
	r.MelodyMoved, r.Key = r.Report.Melody.Elsewhere, r.Report.BetterKey
}

func (r *Row) check(found *check.Report) {
	r.Difficulty = found.Difficulty.Level
	for i := range found.Findings {
		if found.Findings[i].Impossible() {
			r.Unplayable++
		}
	}
	var margins []float64
	for _, m := range found.Measures {
		if m.Margin != nil {
			margins = append(margins, *m.Margin)
		}
		if m.Blur > ringing.Muddy {
			r.Blurred++
		}
	}
	if slices.Sort(margins); len(margins) > 0 {
		r.Margin = &margins[len(margins)/2]
	}
}

// MarginText is such as "14 dB"; a dash where nothing is struck with the melody.
func (r *Row) MarginText() string {
	if r.Margin == nil {
		return "–"
	}
	return fmt.Sprintf("%.0f dB", *r.Margin)
}
