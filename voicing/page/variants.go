package page

import (
	"fmt"
	"net/url"

	"undersong/score"
	"undersong/voicing/check"
	"undersong/voicing/compare"
	"undersong/voicing/form"
	"undersong/voicing/study"
)

// variantsBody is what a page that compares shows.
type variantsBody struct{ Ways []way }

// way is one way to voice the score.
type way struct {
	ID, Name, File, Error string
	Link                  string // to File; "" where the page is elsewhere
	Key                   string // in which it would sit better
	Row                   compare.Row
	Told                  string
	Rows                  []strip
	Found                 []lost
}

// strip is a stretch of the piece in small.
type strip struct {
	Width, Label string
	Across, High int
	Lines, Bars  string
	Marks        marks
	Sections     []stretch
	Numbers      []stretch // of measures, here and there
}

func (v *Variants) document() *document {
	st := v.Analysis.Study(v.Tower)
	body := &variantsBody{}
	d := &document{
		Title: titleOf(v.Analysis.Score, v.File), Lead: "ways to voice it for tower " + v.Tower.Name, Body: body,
		Facts:    []fact{{"Key", st.Key.Name}, {"Tempo", fmt.Sprintf("%.0f quarter notes a minute (%s)", st.Tempo.PerMinute, st.Tempo.From)}},
		Contents: []link{{"table", "Side by side"}},
	}
	for i := range v.Rows {
		w := v.way(i, st)
		body.Ways = append(body.Ways, w)
		d.Contents = append(d.Contents, link{w.ID, w.Name})
	}
	return d
}

func (v *Variants) way(i int, st *study.Study) way {
	row := v.Rows[i]
	w := way{ID: fmt.Sprintf("w%d", i), Name: row.Name, Error: row.Error, Row: row}
	if i < len(v.Files) {
		w.File = v.Files[i]
		if v.Beside {
			w.Link = (&url.URL{Path: w.File}).String()
		}
	}
	if row.Key != 0 {
		w.Key = fmt.Sprintf("The melody would sit better transposed: --transpose %d.", row.Key)
	}
	if row.Error != "" || row.Check == nil {
		return w
	}
	one := &Voice{Analysis: v.Analysis, Tower: v.Tower, Result: row.Result, Report: row.Report, Check: row.Check}
	m := one.result()
	same := len(m.marks) == v.Analysis.Score.MeasureCount()
	w.Told, w.Rows, w.Found = told(row.Report.Melody.From, row.Check), m.strips(same, v.Analysis.Sections, st), gathered(row.Check)
	return w
}

func told(melody string, c *check.Report) string {
	return fmt.Sprintf("Melody: %s. Difficulty %d of 5. Findings: %s.", melody, c.Difficulty.Level, summary(c))
}

const (
	small       = 24 // units across in a quarter note of a strip
	longestRow  = 64 // measures
	mostInWords = 30
)

// strips draw the whole piece in a few rows. Sections are named where the
// measures are those that were studied.
func (m *music) strips(named bool, bounds []form.Section, st *study.Study) []strip {
	rows := inRows(len(m.marks), longestRow)
	widest := 0.0
	for _, r := range rows {
		widest = max(widest, m.quarters(r.from, r.to))
	}
	var names []link
	for _, s := range st.Sections {
		names = append(names, link{Text: s.Name})
	}
	var all []strip
	for _, r := range rows {
		s := m.strip(r.from, r.to, widest)
		if named {
			s.Sections = r.stretches(bounds, names, m.quarters)
		}
		all = append(all, s)
	}
	return all
}

func (m *music) strip(from, to int, widest float64) strip {
	start := m.starts[from]
	x := func(t score.Time) int { return int(t.Sub(start).Quarters()*small + 0.5) }
	var bars, heads, tuneHeads path
	across := x(m.starts[to])
	for i := from; i < to; i++ {
		if i > from {
			bars.down(x(m.starts[i]), 0, float64(m.height()))
		}
		for _, k := range m.marks[i] {
			head := &heads
			if k.tune {
				head = &tuneHeads
			}
			if k.measure == i {
				head.dot(x(k.from), m.y(k.key))
			}
		}
	}
	return strip{
		Numbers: m.numbersOf(from, to),
		Width:   percent(m.quarters(from, to), widest), Across: across, High: m.height(),
		Label: fmt.Sprintf("measures %s in small: melody and all else; the lines are the Cs from %s up", score.MeasureSpan(m.numbers[from], m.numbers[to-1]), lowestC(m.low)),
		Lines: m.octaves(across), Bars: bars.String(), Marks: marks{Heads: heads.String(), TuneHeads: tuneHeads.String()},
	}
}

// numbersEach is how many measures lie between two numbers of a strip.
const numbersEach = 8

// numbersOf are the numbers of some of a row's measures.
func (m *music) numbersOf(from, to int) []stretch {
	var all []stretch
	for i := from; i < to; i += numbersEach {
		end := min(i+numbersEach, to)
		all = append(all, stretch{link: link{Text: m.numbers[i]}, Width: percent(m.quarters(i, end), m.quarters(from, to))})
	}
	return all
}

func lowestC(low int) string { return score.KeyName((low + 11) / 12 * 12) }

// gathered are findings by category, with their measures.
func gathered(c *check.Report) []lost {
	var all []lost
	for _, category := range check.Categories() {
		var measures []string
		there := map[string]bool{}
		for _, f := range c.Findings {
			if f.Category == category && !there[f.Measure] {
				there[f.Measure] = true
				measures = append(measures, f.Measure)
			}
		}
		if n := c.Totals[category]; n > 0 {
			all = append(all, lost{What: string(category), Count: n, Why: list(measures, mostInWords)})
		}
	}
	return all
}
