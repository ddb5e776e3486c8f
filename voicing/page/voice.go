package page

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/study"
)

// voiceBody is what a page about a voicing shows.
type voiceBody struct {
	Sections []section
	Rulers   []*ruler
	Course   *course
	Found    []found
	LeftOut  []lost
	Signs    []lost
	Notes    string

	Engraved     []engraved
	EngravedNote string
	// What stands over the engraving on paper, where that is a sheet of its own.
	SheetTitle, SheetBy string
}

// found is a finding.
type found struct {
	ID      string
	Place   string
	Cell    string // the ID of its measure's cell; "" of none
	Kind    string
	Text    string
	measure int
	beat    score.Time
}

// lost is what was left out for one reason.
type lost struct {
	What, Why string
	Count     int
	Measures  []link
}

func (v *Voice) document() *document {
	a := v.Analysis
	st := a.Study(v.Tower)
	before, after := source(a, func(t *score.Tone) bool { return v.Report.LeftOut(t) != "" }), v.result()
	body := &voiceBody{
		Sections: sections(st), Rulers: []*ruler{before.ruler("ra", nil), after.ruler("rb", v.Tower)},
		Found: v.found(after), Notes: v.notes(), Engraved: v.engraved, EngravedNote: v.EngravedNote,
		SheetTitle: titleOf(a.Score, v.Report.File), SheetBy: strings.Join(append(slices.Clone(a.Score.Composers), v.Report.Way()), ", "),
	}
	body.LeftOut, body.Signs = v.leftOut(after)
	v.draw(body, before, after)
	body.Course = newCourse(v.Check, body.Sections, a.Sections)
	d := &document{
		Title: titleOf(a.Score, v.Report.File), Lead: v.Report.Way(), Facts: v.facts(st), Body: body,
		Contents: append(contents(body.Sections), link{"course", "Along the piece"}, link{"findings", "Findings"}, link{"left-out", "What was left out"}),
	}
	if len(v.engraved) > 0 || v.EngravedNote != "" {
		d.Contents = append(d.Contents, link{"score", "The score"})
	}
	if sound, err := v.audition(); err == nil {
		d.Audition = sound
	} else {
		d.Facts = append(d.Facts, fact{"Audition", "none: " + err.Error()})
	}
	return d
}

// draw puts pictures and findings into the sections.
func (v *Voice) draw(body *voiceBody, before, after *music) {
	places := map[int][]score.Time{}
	kinds := map[int][]link{}
	for _, f := range body.Found {
		if f.measure < 0 {
			continue
		}
		places[f.measure] = append(places[f.measure], f.beat)
		if !slices.ContainsFunc(kinds[f.measure], func(l link) bool { return l.Text == f.Kind }) {
			kinds[f.measure] = append(kinds[f.measure], link{f.ID, f.Kind})
		}
	}
	column := after.column()
	for i := range body.Sections {
		s, bounds := &body.Sections[i], v.Analysis.Sections[i]
		s.Voiced = v.voicedAt(bounds.First)
		s.Cells = cells(bounds.First, bounds.Last, column,
			view{before, "before", "before", body.Rulers[0], nil}, view{after, "after", "after", body.Rulers[1], places})
		for k := range s.Cells {
			s.Cells[k].Found = kinds[s.Cells[k].Index]
		}
		for _, f := range body.Found {
			if bounds.First <= f.measure && f.measure <= bounds.Last {
				s.Findings++
			}
		}
	}
}

// voicedAt is the voicing of a measure.
func (v *Voice) voicedAt(measure int) string {
	for _, s := range v.Report.Sections {
		if s.First <= measure && measure <= s.Last {
			return string(s.Voicing)
		}
	}
	return string(v.Report.Voicing)
}

func (v *Voice) facts(st *study.Study) []fact {
	r, c := v.Report, v.Check
	melody := fmt.Sprintf("%s, %s", r.Melody.From, score.Count(r.Melody.Notes, "note"))
	if r.Melody.Sure < 100 {
		melody += fmt.Sprintf(", sure to %d %%", r.Melody.Sure)
	}
	var all []fact
	if by := list(v.Analysis.Score.Composers, 3); by != "" {
		all = append(all, fact{"By", by})
	}
	found := summary(c)
	if n := len(r.Findings); n > 0 {
		found = fmt.Sprintf("%d of arranging, %s", n, found)
	}
	all = append(all, []fact{
		{"Key", st.Key.Name},
		{"Tempo", fmt.Sprintf("%.0f quarter notes a minute (%s)", c.Tempo.PerMinute, c.Tempo.From)},
		{"Melody", melody},
	}...)
	if len(r.Interludes) > 0 {
		all = append(all, fact{"Interludes", strings.Join(r.InterludeTexts(), "; ")})
	}
	all = append(all, []fact{
		{"Difficulty", fmt.Sprintf("%d of 5; voiced for a player of level %d", c.Difficulty.Level, r.Difficulty)},
		{"Findings", found},
	}...)
	if r.Transpose != 0 {
		all = append(all, fact{"Transposed", fmt.Sprintf("by %+d semitones", r.Transpose)})
	}
	return all
}

// summary counts findings by category.
func summary(c *check.Report) string {
	var all []string
	for _, category := range check.Categories() {
		if n := c.Totals[category]; n > 0 {
			all = append(all, fmt.Sprintf("%d %s", n, category))
		}
	}
	if len(all) == 0 {
		return "none of the check"
	}
	return list(all, len(all))
}

func (v *Voice) notes() string {
	n := v.Report.Notes
	return fmt.Sprintf("Of %s, %d are where they were, %d moved by octaves, %d merged into a note of their name, and %d dropped.",
		score.Count(n.Source, "note"), n.Kept, n.Moved, n.Merged, n.Dropped)
}

// found are all findings, those of the arrangement first where both are of one
// measure.
func (v *Voice) found(m *music) []found {
	var all []found
	for _, f := range v.Report.Findings {
		all = append(all, newFound(m, f.Nth-1, f.Place, "arranging", f.Text))
	}
	for _, f := range v.Check.Findings {
		all = append(all, newFound(m, f.Index(), f.Place, string(f.Category), f.Text))
	}
	slices.SortStableFunc(all, func(x, y found) int { return x.measure - y.measure })
	for i := range all {
		all[i].ID = "f" + strconv.Itoa(i)
	}
	return all
}

func newFound(m *music, measure int, p score.Place, kind, text string) found {
	f := found{Kind: kind, Text: text, measure: measure, Place: "whole piece"}
	if measure < 0 {
		return f
	}
	f.Cell, f.Place = measureID(measure), p.Measure
	onset, _ := score.BeatOnset(p.Beat, m.beats[measure]) // the measure's beginning where there is none
	f.beat = m.starts[measure].Add(onset)
	if p.Beat != "" {
		f.Place += ", beat " + p.Beat
	}
	return f
}

// leftOut is what was left out, the most first: notes, and signs.
func (v *Voice) leftOut(m *music) (notes, signs []lost) {
	losses := v.Report.Losses()
	slices.SortStableFunc(losses, func(x, y voicing.Loss) int { return y.Count - x.Count })
	for _, l := range losses {
		this := lost{What: l.What, Why: l.Why, Count: l.Count, Measures: m.rows(l.Measures)}
		if l.Sign {
			signs = append(signs, this)
		} else {
			notes = append(notes, this)
		}
	}
	return notes, signs
}

// rows are links to measures, those that follow each other as one.
func (m *music) rows(measures []int) []link {
	var links []link
	for i := 0; i < len(measures); {
		end := i
		for end+1 < len(measures) && measures[end+1] == measures[end]+1 {
			end++
		}
		links = append(links, link{measureID(measures[i]), score.MeasureSpan(m.numbers[measures[i]], m.numbers[measures[end]])})
		i = end + 1
	}
	return links
}
