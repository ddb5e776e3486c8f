package check

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"undersong/score"
)

// WriteText writes the report for a player: what the score is, how hard, and
// the findings by measure. Findings alike in one measure or in measures side by
// side are one line, with the worst of them.
func (r *Report) WriteText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: for tower %s, %.0f quarter notes a minute (%s)\n", cmp.Or(r.File, r.Title, "score"), r.Tower, r.Tempo.PerMinute, r.Tempo.From)
	for _, notice := range r.Notices {
		fmt.Fprintf(&b, "notice: %s\n", notice)
	}
	fmt.Fprintf(&b, "hands: %s; feet: %s\n", r.staves(false), r.staves(true))
	r.Difficulty.write(&b)
	r.writeMelody(&b)
	fmt.Fprintf(&b, "findings: %s\n", r.summary())
	lines := r.lines()
	width := 0
	for _, l := range lines {
		width = max(width, len([]rune(l.where())))
	}
	for _, l := range lines {
		where := l.where()
		fmt.Fprintf(&b, "  %s%s  %s\n", where, strings.Repeat(" ", width-len([]rune(where))), l.text())
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// staves lists what hands or feet play.
func (r *Report) staves(pedals bool) string {
	var all []string
	for _, k := range r.Keyboards {
		if k.Pedals == pedals {
			all = append(all, fmt.Sprintf("staff %d of %s", k.Staff, cmp.Or(strings.Join(strings.Fields(k.Name), " "), k.Part)))
		}
	}
	return cmp.Or(strings.Join(all, ", "), "nothing")
}

func (d *Difficulty) write(b *strings.Builder) {
	fmt.Fprintf(b, "difficulty %d of 5", d.Level)
	if !d.Playable {
		b.WriteString(", where it can be played")
	}
	fmt.Fprintf(b, ": %.1f strokes a second at its busiest (%d), limbs need %.0f %% of their time (%d), %.0f leaps in 100 (%d), %.0f notes at once (%d)\n",
		d.Pace.Value, d.Pace.Grade, 100*d.Effort.Value, d.Effort.Grade, d.Leaps.Value, d.Leaps.Grade, d.Together.Value, d.Together.Grade)
}

func (r *Report) writeMelody(b *strings.Builder) {
	if r.Melody == "" {
		b.WriteString("melody: none found, so the balance is not judged; --melody says where it is\n")
		return
	}
	fmt.Fprintf(b, "melody: %s\n", r.Melody)
	if len(r.Unsure) > 0 {
		fmt.Fprintf(b, "melody unsure, balance not judged: %s; --melody says where it is\n", score.Count(len(r.Unsure), "measure"))
	}
}

// summary counts the findings.
func (r *Report) summary() string {
	var all []string
	for _, category := range Categories() {
		if n := r.Totals[category]; n > 0 {
			all = append(all, fmt.Sprintf("%d %s", n, category))
		}
	}
	return cmp.Or(strings.Join(all, ", "), "none")
}

// told is findings alike that are told in one line.
type told struct {
	first, last int // measures
	from, to    string
	findings    []Finding
}

// lines gathers findings of one category and what, as long as no measure
// without one comes between.
func (r *Report) lines() []told {
	open := map[string]int{}
	var all []told
	for _, f := range r.Findings {
		kind := string(f.Category) + f.What
		i, known := open[kind]
		if !known || f.measure > all[i].last+1 {
			i = len(all)
			open[kind] = i
			all = append(all, told{first: f.measure, from: f.Measure})
		}
		all[i].last, all[i].to = f.measure, f.Measure
		all[i].findings = append(all[i].findings, f)
	}
	slices.SortStableFunc(all, func(x, y told) int { return cmp.Compare(x.first, y.first) })
	return all
}

func (t told) where() string {
	f := t.findings[0]
	switch {
	case t.first != t.last:
		return fmt.Sprintf("measures %s–%s", t.from, t.to)
	case len(t.findings) > 1 || f.Beat == "":
		return "measure " + t.from
	}
	return fmt.Sprintf("measure %s, beat %s", t.from, f.Beat)
}

func (t told) text() string {
	worst := t.findings[0]
	for _, f := range t.findings {
		if f.beyond() > worst.beyond() {
			worst = f
		}
	}
	switch {
	case len(t.findings) == 1:
		return fmt.Sprintf("%s: %s", worst.Category, worst.Text)
	case worst.Category == Compass:
		return fmt.Sprintf("%s %d times: %s", worst.Category, len(t.findings), t.each())
	}
	at := "beat " + worst.Beat
	if t.first != t.last {
		at = "measure " + worst.Measure + ", " + at
	}
	return fmt.Sprintf("%s %d times, the worst at %s: %s", worst.Category, len(t.findings), at, worst.Text)
}

// each is every text once.
func (t told) each() string {
	var texts []string
	for _, f := range t.findings {
		if !slices.Contains(texts, f.Text) {
			texts = append(texts, f.Text)
		}
	}
	return strings.Join(texts, "; ")
}

// beyond is how far a finding is beyond its limit, as a ratio.
func (f *Finding) beyond() float64 {
	switch {
	case f.Category == Balance:
		return f.Limit - f.Value
	case f.Limit == 0 || f.Unit == "MIDI":
		return 0
	case f.Unit == "s":
		return f.Limit / max(f.Value, 1e-6)
	}
	return f.Value / f.Limit
}
