package refit

import (
	"fmt"
	"io"
	"strings"

	"undersong/score"
)

// WriteText writes the report for a player: what is left out, and what of the
// melody moved without the rest of its phrase, note by note, all else by measures;
// then what cannot be played.
func (r *Report) WriteText(w io.Writer) error {
	var b strings.Builder
	type kind struct {
		melody, merged bool
		octaves        int
	}
	var order []kind
	runs, notes := map[kind][]Change{}, map[kind]int{}
	for _, c := range r.Moved {
		if c.To == "" || c.Melody && (c.Alone || c.Merged) {
			fmt.Fprintf(&b, "%s\n", c)
			continue
		}
		k := kind{c.Melody, c.Merged, c.Octaves}
		if notes[k]++; notes[k] == 1 {
			order = append(order, k)
		}
		if list := runs[k]; len(list) == 0 || list[len(list)-1].index != c.index {
			runs[k] = append(list, c)
		}
	}
	for _, k := range order {
		what := "accompaniment"
		if k.melody {
			what = "melody"
		}
		fmt.Fprintf(&b, "%s: %s %s", measures(runs[k]), what, octavesText(k.octaves))
		if k.merged {
			b.WriteString(", one with a note that is there")
		}
		fmt.Fprintf(&b, " (%s)\n", score.Count(notes[k], "note"))
	}
	for _, f := range r.Unplayable {
		fmt.Fprintf(&b, "%s: %s\n", f.Place, f.Text)
	}
	gone, alone, merged := Counts(r.Moved)
	fmt.Fprintf(&b, "%s moved, %d of them without the rest of the phrase, %d became one with another note, %d left out; %s cannot be played\n",
		score.Count(len(r.Moved)-gone-merged, "note"), alone, merged, gone, score.Count(len(r.Unplayable), "stroke"))
	if n := len(r.Crossed); n > 0 {
		fmt.Fprintf(&b, "at %s a note is no longer over or under another one as it was; the first: %s. Where you have the score that this was arranged from, "+
			"'undersong voice' arranges it for this tower\n", score.Count(n, "moment"), r.Crossed[0])
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// measures names those of changes, which are in time order: such as follow each
// other in the score as one.
func measures(list []Change) string {
	var spans []string
	for i := 0; i < len(list); {
		end := i
		for end+1 < len(list) && list[end+1].index == list[end].index+1 {
			end++
		}
		spans = append(spans, score.MeasureSpan(list[i].Measure, list[end].Measure))
		i = end + 1
	}
	return score.Measures(spans...)
}

func octavesText(n int) string {
	way := "up"
	if n < 0 {
		n, way = -n, "down"
	}
	if n == 0 {
		return "where it was"
	}
	return score.Count(n, "octave") + " " + way
}
