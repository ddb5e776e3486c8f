package page

import (
	"fmt"
	"math"
	"slices"

	"undersong/score"
	"undersong/voicing/check"
	"undersong/voicing/form"
	"undersong/voicing/ringing"
)

// course is loudness and blur along the piece.
type course struct {
	Rows    []courseRow
	Figures []figures
}

// courseRow is a stretch of the piece.
type courseRow struct {
	Across       int
	Width        string // of the page, in per cent
	Label        string
	Melody, Rest string // paths of loudness
	Blur, Much   string // bars, up to the limit and beyond it
	Sections     []stretch
	Ticks        []tick
	Top, Bottom  string // of the scale of loudness, in dB
	Bounds       string // lines between sections
}

// stretch is a section's part of a row.
type stretch struct {
	link
	Width string // per cent
}

// tick is a measure's number under a row.
type tick struct {
	link
	Left string // per cent
}

// figures are a measure's, as text.
type figures struct {
	Cell, Number       string
	Strokes, Together  int
	Melody, Rest, Blur string
	Margin             string
}

const (
	step       = 10  // units of a measure across
	levelHigh  = 120 // pixels
	blurHigh   = 60
	mostInRow  = 80 // measures
	mostTicks  = 10
	mostBlur   = 3.0 // what fills the picture
	leastScale = 20.0
)

// newCourse reads the figures of a check.
func newCourse(c *check.Report, shown []section, bounds []form.Section) *course {
	all := &course{}
	low, high := scale(c.Measures)
	var names []link
	for _, s := range shown {
		names = append(names, link{s.ID, s.Name})
	}
	rows := inRows(len(c.Measures), mostInRow)
	for _, r := range rows {
		row := newCourseRow(c.Measures[r.from:r.to], low, high)
		row.Width = percent(float64(r.to-r.from), float64(rows[0].to))
		row.Sections = r.stretches(bounds, names, func(from, to int) float64 { return float64(to - from) })
		row.Bounds, row.Ticks = r.bounds(bounds), r.ticks(c.Measures)
		all.Rows = append(all.Rows, row)
	}
	for i, m := range c.Measures {
		all.Figures = append(all.Figures, figures{
			measureID(i), m.Number, m.Strokes, m.Together, decibels(m.Melody), decibels(m.Rest), fmt.Sprintf("%.1f", m.Blur), decibels(m.Margin),
		})
	}
	return all
}

func decibels(x *float64) string {
	if x == nil {
		return "–"
	}
	if text := fmt.Sprintf("%.0f", *x); text != "-0" {
		return text
	}
	return "0"
}

// scale is the range of loudness of a piece, in dB, by tens.
func scale(all []check.Measure) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, m := range all {
		for _, x := range []*float64{m.Melody, m.Rest} {
			if x != nil {
				low, high = min(low, *x), max(high, *x)
			}
		}
	}
	if low > high {
		return -leastScale, 0
	}
	low, high = 10*math.Floor(low/10), 10*math.Ceil(high/10)+0 // no -0
	return min(low, high-leastScale), high
}

// newCourseRow draws measures on a scale of loudness.
func newCourseRow(all []check.Measure, low, high float64) courseRow {
	row := courseRow{
		Across: step * len(all), Top: fmt.Sprintf("%.0f dB", high), Bottom: fmt.Sprintf("%.0f dB", low),
		Label: "measures " + score.MeasureSpan(all[0].Number, all[len(all)-1].Number),
	}
	y := func(x float64) float64 {
		return math.Round(10*(4+(levelHigh-8)*(high-x)/(high-low))) / 10
	}
	row.Melody = line(all, func(m check.Measure) *float64 { return m.Melody }, y)
	row.Rest = line(all, func(m check.Measure) *float64 { return m.Rest }, y)
	var blur, much path
	for i, m := range all {
		bar := &blur
		if m.Blur > ringing.Muddy {
			bar = &much
		}
		if h := math.Round(10*blurHigh*min(m.Blur, mostBlur)/mostBlur) / 10; h > 0 {
			bar.down(step*i+step/2, blurHigh, -h)
		}
	}
	row.Blur, row.Much = blur.String(), much.String()
	return row
}

// line joins the values of measures side by side; a measure by itself is a short
// line.
func line(all []check.Measure, of func(check.Measure) *float64, y func(float64) float64) string {
	var p path
	open := false
	for i, m := range all {
		v := of(m)
		if v == nil {
			open = false
			continue
		}
		if open {
			fmt.Fprintf(&p, "V%sh%d", number(y(*v)), step)
			continue
		}
		p.across(step*i, step*(i+1), y(*v))
		open = true
	}
	return p.String()
}

// row is the measures from one until before another, side by side.
type row struct{ from, to int }

// inRows shares n measures between as few rows as can hold them, all but the
// last alike.
func inRows(n, most int) []row {
	if n == 0 {
		return nil
	}
	count := (n + most - 1) / most
	size := (n + count - 1) / count
	var all []row
	for from := 0; from < n; from += size {
		all = append(all, row{from, min(from+size, n)})
	}
	return all
}

// stretches are the sections of a row by their names; length is that of
// measures.
func (r row) stretches(bounds []form.Section, names []link, length func(from, to int) float64) []stretch {
	var all []stretch
	for i, b := range bounds {
		if from, to := max(b.First, r.from), min(b.Last+1, r.to); from < to {
			all = append(all, stretch{names[i], percent(length(from, to), length(r.from, r.to))})
		}
	}
	return all
}

// bounds are lines where sections begin inside the row.
func (r row) bounds(sections []form.Section) string {
	var lines path
	for _, s := range sections {
		if r.from < s.First && s.First < r.to {
			lines.down(step*(s.First-r.from), 0, levelHigh)
		}
	}
	return lines.String()
}

// ticks names some measures, every fourth, eighth, … one.
func (r row) ticks(all []check.Measure) []tick {
	every := 1
	for (r.to-r.from)/every > mostTicks {
		every *= 2
	}
	var ticks []tick
	for i := r.from; i < r.to; i += every {
		ticks = append(ticks, tick{link{measureID(i), all[i].Number}, percent(float64(i-r.from), float64(r.to-r.from))})
	}
	return ticks
}

func percent(part, whole float64) string { return fmt.Sprintf("%.4g", 100*part/whole) }

func median(all []float64) float64 {
	if len(all) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(all))
	return sorted[len(sorted)/2]
}
