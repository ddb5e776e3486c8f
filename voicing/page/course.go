package page

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"undersong/voicing/check"
	"undersong/voicing/form"
)

// course is loudness and blur along the piece.
type course struct {
	Rows    []courseRow
	Figures []figures
	Blurred float64 // the limit
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
	all := &course{Blurred: 1}
	low, high := scale(c.Measures)
	n := len(c.Measures)
	rows := (n + mostInRow - 1) / mostInRow
	size := (n + rows - 1) / max(rows, 1)
	for from := 0; from < n; from += size {
		all.Rows = append(all.Rows, newCourseRow(c.Measures, from, min(from+size, n), size, low, high, shown, bounds))
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
	low, high = 10*math.Floor(low/10), 10*math.Ceil(high/10)
	return min(low, high-leastScale), high
}

func newCourseRow(all []check.Measure, from, to, size int, low, high float64, shown []section, bounds []form.Section) courseRow {
	row := courseRow{
		Across: step * (to - from), Width: percent(to-from, size), Top: fmt.Sprintf("%.0f dB", high), Bottom: fmt.Sprintf("%.0f dB", low),
		Label: "measures " + span(all[from].Number, all[to-1].Number),
	}
	y := func(x float64) float64 {
		return math.Round(10*(4+(levelHigh-8)*(high-x)/(high-low))) / 10
	}
	row.Melody = line(all[from:to], func(m check.Measure) *float64 { return m.Melody }, y)
	row.Rest = line(all[from:to], func(m check.Measure) *float64 { return m.Rest }, y)
	var blur, much, between path
	for i, m := range all[from:to] {
		bar := &blur
		if m.Blur > 1 {
			bar = &much
		}
		if h := math.Round(10*blurHigh*min(m.Blur, mostBlur)/mostBlur) / 10; h > 0 {
			bar.down(step*i+step/2, blurHigh, -h)
		}
	}
	for i, b := range bounds {
		first, last := max(b.First, from), min(b.Last+1, to)
		if first >= last {
			continue
		}
		row.Sections = append(row.Sections, stretch{link{shown[i].ID, shown[i].Name}, percent(last-first, to-from)})
		if b.First > from {
			between.down(step*(b.First-from), 0, levelHigh)
		}
	}
	row.Blur, row.Much, row.Bounds = blur.String(), much.String(), between.String()
	row.Ticks = ticks(all, from, to)
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

// ticks names some measures, every fourth, eighth, … one.
func ticks(all []check.Measure, from, to int) []tick {
	every := 1
	for (to-from)/every > mostTicks {
		every *= 2
	}
	var ticks []tick
	for i := from; i < to; i++ {
		if n, err := strconv.Atoi(all[i].Number); err == nil && (n-1)%every == 0 {
			ticks = append(ticks, tick{link{measureID(i), all[i].Number}, percent(i-from, to-from)})
		}
	}
	return ticks
}

func percent(part, whole int) string { return fmt.Sprintf("%.4g", 100*float64(part)/float64(whole)) }

func median(all []float64) float64 {
	if len(all) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(all))
	return sorted[len(sorted)/2]
}
