package form

import (
	"maps"
	"slices"
	"strings"
)

// enoughMarks is how many parts a score has to name: with fewer, and without headings
// enough, the rest is looked through as if it named none.
const enoughMarks = 3

// marked are the parts that the score names: by words that head sections, else
// by rehearsal marks, at the measures that have them.
func (f *reader) marked() []stretch {
	words, marks := f.marks()
	parts := words
	if len(words) < 2 && len(marks) > 1 {
		parts = marks
	}
	if len(parts) == 0 {
		return nil
	}
	if first := parts[0].first; first > 0 && first != f.body(0) {
		parts = append([]stretch{{first: 0}}, parts...)
	} else {
		parts[0].first = 0
	}
	return f.close(parts)
}

// from are parts that begin with these measures; what is before the first is a part too,
// unless it is a pickup.
func (f *reader) from(measures []int) []stretch {
	var parts []stretch
	for _, m := range slices.Compact(slices.Sorted(slices.Values(measures))) {
		if len(parts) == 0 && m > 0 {
			if m == f.body(0) {
				m = 0
			} else {
				parts = append(parts, stretch{first: 0})
			}
		}
		parts = append(parts, stretch{first: m})
	}
	return f.close(parts)
}

// together are the parts that begin where either of two rows do.
func (f *reader) together(a, b []stretch) []stretch {
	at := map[int]bool{}
	for _, p := range append(slices.Clone(a), b...) {
		at[p.first] = true
	}
	var all []stretch
	for _, i := range slices.Sorted(maps.Keys(at)) {
		all = append(all, stretch{first: i})
	}
	return f.close(all)
}

// named is parts with the names of marked ones that begin with them.
func (f *reader) named(parts, marked []stretch) []stretch {
	for i := range parts {
		for _, m := range marked {
			if m.first == parts[i].first {
				parts[i].name, parts[i].kind, parts[i].because = m.name, m.kind, m.because
			}
		}
	}
	return parts
}

// marks are the headings and the rehearsal marks, one at most to a measure.
func (f *reader) marks() (words, marks []stretch) {
	headed, lettered := map[int]bool{}, map[int]bool{}
	for _, p := range f.score.Parts {
		for i, m := range p.Measures {
			for _, d := range m.Directions {
				for _, sign := range d.Signs {
					text := strings.Join(strings.Fields(sign.Text), " ") // it may have several lines
					kind, _, ok := heading(text)
					at := i
					if d.Onset.Sign() > 0 && !d.Onset.Add(d.Onset).Less(m.Length) && i+1 < len(f.tune) {
						at = i + 1 // over a pickup
					}
					if ok && (sign.Name == "words" || sign.Name == "rehearsal") && !headed[at] {
						headed[at] = true
						words = append(words, stretch{first: at, name: title(text), kind: kind, because: "its heading"})
					}
					if sign.Name == "rehearsal" && text != "" && !lettered[at] {
						lettered[at] = true
						marks = append(marks, stretch{first: at, name: text, kind: kind, because: "its rehearsal mark"})
					}
				}
			}
		}
	}
	numbers := 0
	for _, m := range marks {
		if m.name == f.score.MeasureNumber(m.first) {
			numbers++
		}
	}
	if numbers == len(marks) {
		marks = nil // they are the numbers of measures
	}
	byPlace := func(a, b stretch) int { return a.first - b.first }
	slices.SortStableFunc(words, byPlace)
	slices.SortStableFunc(marks, byPlace)
	return words, marks
}

// title is a heading without brackets and colon.
func title(text string) string { return strings.Trim(text, " :()[].") }

// close ends each part where the next begins.
func (f *reader) close(parts []stretch) []stretch {
	for i := range parts {
		parts[i].end = len(f.tune)
		if i > 0 {
			parts[i-1].end = parts[i].first
		}
	}
	return parts
}
