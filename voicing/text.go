package voicing

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"undersong/score"
)

// WriteText writes the report for people: what happened measure by measure,
// measures that fared alike in one line, then signs and findings.
func (r *Report) WriteText(w io.Writer) error {
	var b strings.Builder
	title := r.Title
	if title == "" {
		title = filepath.Base(cmp.Or(r.File, "score"))
	}
	how := string(r.Voicing)
	switch {
	case r.parted:
		how = "by sections"
	case len(r.Sections) > 0:
		how = "by sections, elsewhere " + how
	}
	fmt.Fprintf(&b, "%s: %s, tower %s\n", title, how, r.Tower)
	for _, s := range r.Sections {
		fmt.Fprintf(&b, "  %s: %s\n", score.Measures(score.MeasureSpan(s.FirstMeasure, s.LastMeasure)), s.Voicing)
	}
	if r.Transpose != 0 {
		fmt.Fprintf(&b, "transposed by %+d semitones\n", r.Transpose)
	}
	fmt.Fprintf(&b, "melody: %s, %s\n", r.Melody.From, score.Count(r.Melody.Notes, "note"))
	if len(r.Interludes) > 0 {
		fmt.Fprintf(&b, "while it rests, other lines lead: %s\n", strings.Join(r.InterludeTexts(), "; "))
	}
	source := "in the source"
	if r.Notes.Added > 0 {
		source = fmt.Sprintf("with %d made of chord symbols", r.Notes.Added)
	}
	fmt.Fprintf(&b, "notes: %d %s: %d kept where they were, %d moved, %d merged, %d dropped\n",
		r.Notes.Source, source, r.Notes.Kept, r.Notes.Moved, r.Notes.Merged, r.Notes.Dropped)
	for _, runs := range foldTimes(r.runs()) {
		fmt.Fprintf(&b, "  %-14s  %s\n", names(runs), runs[0].text())
	}
	if signs := r.signs(); len(signs) > 0 {
		b.WriteString("signs left out:\n")
		for _, s := range signs {
			fmt.Fprintf(&b, "  %s\n", s)
		}
	}
	for _, f := range foldFindings(r.Findings) {
		if at := f.Place.String(); at != "" {
			fmt.Fprintf(&b, "finding: %s: %s\n", at, f.Text)
		} else {
			fmt.Fprintf(&b, "finding: %s\n", f.Text)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// InterludeTexts are such as "measures 24–31, 19 notes".
func (r *Report) InterludeTexts() (texts []string) {
	for _, i := range r.Interludes {
		texts = append(texts, score.Measures(score.MeasureSpan(i.FirstMeasure, i.LastMeasure))+", "+score.Count(i.Notes, "note"))
	}
	return texts
}

// run is a row of measures whose notes moved alike.
type run struct {
	from, to string
	last     int // the index of the last
	moves    string
	reasons  map[string]int // why notes were left out, counted
}

func (r run) text() string {
	var parts []string
	if r.moves != "" {
		parts = append(parts, r.moves)
	}
	var out []string
	for _, why := range slices.Sorted(maps.Keys(r.reasons)) {
		out = append(out, fmt.Sprintf("%d × %s", r.reasons[why], why))
	}
	if len(out) > 0 {
		parts = append(parts, "left out "+strings.Join(out, ", "))
	}
	return strings.Join(parts, "; ")
}

// foldTimes puts measures together that fared alike each time, in a score with its
// repeats written out: 2–6, 2b–6b and 2c–6c.
func foldTimes(runs []run) [][]run {
	var folded [][]run
	at := map[[3]string]int{} // by measures without the time and by text
	for _, r := range runs {
		key := [3]string{score.WithoutTime(r.from), score.WithoutTime(r.to), r.text()}
		i, known := at[key]
		if !known {
			i = len(folded)
			at[key], folded = i, append(folded, nil)
		}
		folded[i] = append(folded[i], r)
	}
	return folded
}

// foldFindings gives what is found each time, in a score with its repeats written
// out, one line.
func foldFindings(all []Finding) []Finding {
	var folded []Finding
	at := map[Finding]int{} // of the first time
	for _, f := range all {
		f.File = ""
		key := f
		key.Measure, key.Nth = score.WithoutTime(f.Measure), 0
		if i, known := at[key]; known {
			folded[i].Measure += ", " + f.Measure
			continue
		}
		at[key] = len(folded)
		folded = append(folded, f)
	}
	return folded
}

func names(runs []run) string {
	var spans []string
	for _, r := range runs {
		spans = append(spans, score.MeasureSpan(r.from, r.to))
	}
	return score.Measures(spans...)
}

// runs sums the changes of notes up by measure.
func (r *Report) runs() []run {
	var runs []run
	for _, m := range r.byMeasure() {
		moves, reasons := sumUp(m.changes)
		if moves == "" && len(reasons) == 0 {
			continue
		}
		last := len(runs) - 1
		if last < 0 || runs[last].moves != moves || runs[last].last != m.index-1 {
			runs = append(runs, run{from: m.number, moves: moves, reasons: map[string]int{}})
			last++
		}
		runs[last].to, runs[last].last = m.number, m.index
		for why, n := range reasons {
			runs[last].reasons[why] += n
		}
	}
	return runs
}

type measureChanges struct {
	index   int
	number  string
	changes []*Change
}

// byMeasure gathers the changes of notes by measure, in the order of the
// piece.
func (r *Report) byMeasure() []measureChanges {
	index := map[int]int{}
	var all []measureChanges
	for k := range r.Changes {
		c := &r.Changes[k]
		if c.Note == "" {
			continue
		}
		i, known := index[c.Index]
		if !known {
			i = len(all)
			index[c.Index] = i
			all = append(all, measureChanges{index: c.Index, number: c.Measure})
		}
		all[i].changes = append(all[i].changes, c)
	}
	order := slices.Sorted(maps.Keys(index))
	sorted := make([]measureChanges, len(order))
	for i, m := range order {
		sorted[i] = all[index[m]]
	}
	return sorted
}

// sumUp is what happened in a measure: the moves by role, and how many notes
// were left out for which reason.
func sumUp(changes []*Change) (moves string, reasons map[string]int) {
	var parts []string
	for _, what := range []string{tune.String(), interlude, accompaniment.String(), bass.String()} {
		by := map[int]bool{}
		for _, c := range changes {
			if c.What == what && c.Octaves != 0 {
				by[c.Octaves] = true
			}
		}
		if len(by) > 0 {
			parts = append(parts, what+" "+octaves(slices.Sorted(maps.Keys(by))))
		}
	}
	if slices.ContainsFunc(changes, func(c *Change) bool { return c.Later != "" }) {
		parts = append(parts, "chords spread")
	}
	reasons = map[string]int{}
	for _, c := range changes {
		if c.LeftOut != "" {
			reasons[c.LeftOut]++
		}
	}
	return strings.Join(parts, ", "), reasons
}

// octaves words moves: "1 octave down", "1, 2 or 3 octaves up".
func octaves(moves []int) string {
	up, down := []string{}, []string{}
	for _, m := range moves {
		if m > 0 {
			up = append(up, fmt.Sprint(m))
		} else {
			down = append(down, fmt.Sprint(-m))
		}
	}
	var words []string
	for _, d := range []struct {
		counts []string
		to     string
	}{{down, "down"}, {up, "up"}} {
		switch {
		case len(d.counts) == 1 && d.counts[0] == "1":
			words = append(words, "1 octave "+d.to)
		case len(d.counts) > 0:
			words = append(words, either(d.counts)+" octaves "+d.to)
		}
	}
	return strings.Join(words, ", ")
}

// either lists words of which one holds: "1, 2 or 3".
func either(words []string) string {
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// signs counts the signs that were left out, by name and reason.
func (r *Report) signs() []string {
	var lines []string
	for _, l := range r.Losses() {
		if l.Sign {
			lines = append(lines, fmt.Sprintf("%d × %s: %s", l.Count, l.What, l.Why))
		}
	}
	return lines
}
