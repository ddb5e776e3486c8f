package voicing

import (
	"fmt"
	"slices"

	"undersong/score"
	"undersong/voicing/harmony"
)

// fewBare is the share of the chords that may lack their root or third without a word, and
// so may one chord, but not the last: the project's own figure.
const fewBare = 0.1

// tellChords reports how many chords of the source, of those that are voiced, are heard
// without their root or third, if they are more than a few, and in which measures: a
// listener misses these first.
func (a *arrangement) tellChords() {
	all := a.chordsHeard()
	for _, what := range []struct {
		name string
		of   func(score.ChordSymbol) int // pitch class
	}{{"root", func(c score.ChordSymbol) int { return c.Root.Class() }}, {"third", thirdOf}} {
		var bare []chordHeard
		for _, h := range all {
			if class := what.of(h.Chord); class >= 0 && h.source.Has(class) && !h.result.Has(class) {
				bare = append(bare, h)
			}
		}
		switch last := len(bare) - 1; {
		case len(bare) > 1 && float64(len(bare)) > fewBare*float64(len(all)):
			a.tell("%d of %s are heard without their %s: %s", len(bare), score.Count(len(all), "chord"), what.name, a.measuresOf(bare))
		case last >= 0 && bare[last].Span == all[len(all)-1].Span:
			a.tell("the last chord is heard without its %s: %s", what.name, a.measuresOf(bare[last:]))
		}
	}
}

// thirdOf is the pitch class of a chord's third, -1 of none.
func thirdOf(c score.ChordSymbol) int { return degreeOf(c, 3) }

// degreeOf is the pitch class of a degree of a chord, -1 of none.
func degreeOf(c score.ChordSymbol, degree int) int {
	for _, t := range harmony.Tones(c) {
		if t.Degree == degree {
			return t.Class(c.Root)
		}
	}
	return -1
}

// chordHeard is a chord with the pitch classes that sound in its time: a pedal does
// until the next.
type chordHeard struct {
	*harmony.Span
	source, result harmony.Classes
}

// chordsHeard are the chords that begin where something is voiced and accompanied.
func (a *arrangement) chordsHeard() (all []chordHeard) {
	var sounding []*note
	var pedal *note // the last, of what is voiced
	next := 0
	for i := range a.harmony {
		h := chordHeard{Span: &a.harmony[i]}
		sounding = slices.DeleteFunc(sounding, func(n *note) bool {
			return !h.From.Less(n.End()) && !h.From.Less(n.Onset.Add(n.written)) && n != pedal
		})
		for ; next < len(a.notes) && a.notes[next].Onset.Less(h.To); next++ {
			n := a.notes[next]
			if n.way == nil {
				pedal = nil
			}
			if !n.First().Plays() {
				continue
			}
			sounding = append(sounding, n)
			if n.seat == feet && n.struck() && !h.From.Less(n.Onset) {
				pedal = n
			}
		}
		for _, n := range sounding {
			class := n.Pitch.Class()
			if h.From.Less(n.End()) {
				h.source = h.source.With(class)
			}
			if n.struck() && (h.From.Less(n.Onset.Add(n.written)) || n == pedal) {
				h.result = h.result.With(class)
			}
		}
		for _, n := range sounding {
			if n.seat == feet && n.struck() {
				pedal = n
			}
		}
		if w := a.wayAt(h.From); h.Chord.HasRoot && w != nil && !w.alone {
			all = append(all, h)
		}
	}
	return all
}

// measuresOf are those in which chords begin, as a list.
func (a *arrangement) measuresOf(chords []chordHeard) string {
	var in []int
	for _, h := range chords {
		in = append(in, a.measureAt(h.From))
	}
	return a.measureList(in)
}

// measureList is a list of measures, by index and rising, by their numbers, such as "measures
// 1, 2": each once, of many the first.
func (a *arrangement) measureList(measures []int) string {
	const most = 8
	var numbers []string
	for _, m := range slices.Compact(measures) {
		numbers = append(numbers, a.measureNumber(m))
	}
	if more := len(numbers) - most; more > 0 {
		numbers = append(numbers[:most], fmt.Sprintf("and %d more", more))
	}
	return score.Measures(numbers...)
}
