package page

import (
	"fmt"
	"slices"

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
	n := len(m.marks)
	rows := (n + longestRow - 1) / longestRow
	size := (n + rows - 1) / max(rows, 1)
	widest := 0.0
	for from := 0; from < n; from += size {
		widest = max(widest, m.starts[min(from+size, n)].Sub(m.starts[from]).Quarters())
	}
	var all []strip
	for from := 0; from < n; from += size {
		s := m.strip(from, min(from+size, n), widest)
		if named {
			s.Sections = m.stretches(from, min(from+size, n), bounds, st)
		}
		all = append(all, s)
	}
	return all
}

func (m *music) strip(from, to int, widest float64) strip {
	start := m.starts[from]
	x := func(t score.Time) int { return int(t.Sub(start).Quarters()*small + 0.5) }
	var bars, lines, heads, tuneHeads path
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
	for key := m.low; key <= m.high; key++ {
		if key%12 == 0 {
			lines.across(0, across, m.y(key))
		}
	}
	return strip{
		Width: fmt.Sprintf("%.4g", 100*m.starts[to].Sub(start).Quarters()/widest), Across: across, High: m.height(),
		Label: fmt.Sprintf("measures %s in small: melody and all else; the lines are the Cs from %s up", span(m.numbers[from], m.numbers[to-1]), lowestC(m.low)),
		Lines: lines.String(), Bars: bars.String(), Marks: marks{Heads: heads.String(), TuneHeads: tuneHeads.String()},
	}
}

func lowestC(low int) string { return score.KeyName((low + 11) / 12 * 12) }

func (m *music) stretches(from, to int, bounds []form.Section, st *study.Study) []stretch {
	whole := m.starts[to].Sub(m.starts[from]).Quarters()
	var all []stretch
	for i, b := range bounds {
		first, last := max(b.First, from), min(b.Last+1, to)
		if first < last {
			part := m.starts[last].Sub(m.starts[first]).Quarters()
			all = append(all, stretch{link{"", st.Sections[i].Name}, fmt.Sprintf("%.4g", 100*part/whole)})
		}
	}
	return all
}

// gathered are findings by category, with their measures.
func gathered(c *check.Report) []lost {
	var all []lost
	for _, category := range check.Categories() {
		var measures []string
		for _, f := range c.Findings {
			if f.Category == category && !slices.Contains(measures, f.Measure) {
				measures = append(measures, f.Measure)
			}
		}
		if n := c.Totals[category]; n > 0 {
			all = append(all, lost{What: string(category), Count: n, Why: list(measures, mostInWords)})
		}
	}
	return all
}
