package form

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undersong/score"
)

// beat is one note of the melody in its measure.
type beat struct {
	onset, length score.Time
	pitch         int
}

// alike is how far two measures of the melody are the same, 0 to 1: the share
// of their notes that the cheapest alignment leaves as they are (V. I.
// Levenshtein's edit distance, 1966, with a part of a step for a note of which only
// the rhythm or only the pitch is another). b may lie some semitones up from a.
func alike(a, b []beat, up int) float64 {
	if len(a) == 0 && len(b) == 0 {
		return 1
	}
	if up == 0 && slices.Equal(a, b) {
		return 1
	}
	var rows [2][32]float64 // enough for most measures
	before, now := rows[0][:], rows[1][:]
	if len(b) >= len(before) {
		before, now = make([]float64, len(b)+1), make([]float64, len(b)+1)
	}
	for j := range len(b) + 1 {
		before[j] = float64(j)
	}
	for i := range a {
		now[0] = float64(i + 1)
		for j := range b {
			now[j+1] = min(before[j]+unlike(&a[i], &b[j], up), before[j+1]+1, now[j]+1)
		}
		before, now = now, before
	}
	return 1 - before[len(b)]/float64(max(len(a), len(b)))
}

func unlike(a, b *beat, up int) float64 {
	d := 0.0
	if a.onset != b.onset || a.length != b.length {
		d += 0.4
	}
	if a.pitch+up != b.pitch {
		d += 0.8
	}
	return min(d, 1)
}

// Costs of telling a piece section by section, as something new or as the
// return of something that was there; the cheapest telling parts it. The
// figures are the project's own, and so is the usual length (common practice,
// no source).
const (
	newCost     = 1.5  // a section of new music, and one more for each measure
	returnCost  = 1.0  // a section that returns
	unlikeCost  = 2.0  // each measure of it that is another
	lengthCost  = 1.0  // each doubling or halving away from the usual length
	usualLength = 8    // measures
	longest     = 24   // measures
	shortest    = 4    // measures that a return may cut off
	nearly      = 0.55 // alike enough to be a return
	nearlyMoved = 0.8  // the same, transposed
	headlike    = 0.55 // the first two measures, of a return
)

// told is a section of a telling: its measures, and where it says that they
// have been before, -1 for new music.
type told struct{ first, end, from int }

// returns parts each of parts that has no name at the phrases where its melody
// returns.
func (f *reader) returns(parts []stretch) []stretch {
	forced := map[int]bool{}
	for _, p := range parts {
		forced[p.first] = true
	}
	within := inside(parts)
	telling := f.cheapest(f.cuts(parts, within), forced)
	at := map[int]bool{}
	for _, t := range telling {
		at[t.first] = true
		if within[t.from] && t.end-t.first >= usualLength { // a headed part hides it: see uncover
			forced[t.first], forced[t.end] = true, true
		}
	}
	f.settle(at, telling)
	for i := range within {
		delete(at, i)
	}
	f.unite(at, forced)
	f.periods(at, forced)
	f.reprises(at, within)
	var all []stretch
	for i := range f.tune {
		if at[i] {
			all = append(all, stretch{first: i})
		}
	}
	return f.named(f.close(all), parts)
}

// cheapest is the cheapest telling with sections that begin at cuts, and at all
// forced ones, from the last to the first, by dynamic programming over cuts.
func (f *reader) cheapest(cuts []int, forced map[int]bool) []told {
	n := len(cuts) - 1
	x := f.index()
	best, by := make([]float64, n+1), make([]told, n+1)
	start := make([]int, n+1) // of the best section that ends here, as an index of cuts
	for last := 1; last <= n; last++ {
		best[last] = math.Inf(1)
		for first := last - 1; first >= 0; first-- {
			length := cuts[last] - cuts[first]
			if length > longest && first < last-1 {
				break
			}
			cost, from := f.tell(x, cuts[first], length)
			if total := best[first] + cost; total < best[last] {
				best[last], start[last], by[last] = total, first, told{cuts[first], cuts[last], from}
			}
			if forced[cuts[first]] {
				break
			}
		}
	}
	var all []told
	for last := n; last > 0; last = start[last] {
		all = append(all, by[last])
	}
	return all
}

// inside are the measures inside parts with a name, at which no section begins.
func inside(parts []stretch) map[int]bool {
	in := map[int]bool{}
	for _, p := range parts {
		for i := p.first + 1; i < p.end && p.name != ""; i++ {
			in[i] = true
		}
	}
	return in
}

// cuts are the measures at which a section may begin: where a phrase does that
// is not inside a headed part and begins no ending, or a part, and the end.
func (f *reader) cuts(parts []stretch, within map[int]bool) []int {
	var cuts []int
	for _, p := range parts {
		cuts = append(cuts, p.first)
	}
	for _, b := range f.begins {
		if !within[b.measure] && !f.inEndings(b.measure) {
			cuts = append(cuts, b.measure)
		}
	}
	cuts = append(cuts, len(f.tune))
	slices.Sort(cuts)
	return slices.Compact(cuts)
}

// index finds measures by their notes and by their rhythm.
type index [2]struct {
	key     []int   // of each measure, -1 of an empty one
	members [][]int // the measures of each key, in order
}

func (f *reader) index() *index {
	x := &index{}
	for by, write := range []func([]beat) string{notes, rhythm} {
		keys := map[string]int{}
		for i, m := range f.tune {
			if len(m) == 0 {
				x[by].key = append(x[by].key, -1)
				continue
			}
			text := write(m)
			k, known := keys[text]
			if !known {
				k = len(keys)
				keys[text] = k
				x[by].members = append(x[by].members, nil)
			}
			x[by].key = append(x[by].key, k)
			x[by].members[k] = append(x[by].members[k], i)
		}
	}
	return x
}

// like are the measures with the notes of one, and those with its rhythm.
func (x *index) like(measure int) (places [2][]int) {
	for by := range x {
		if k := x[by].key[measure]; k >= 0 {
			places[by] = x[by].members[k]
		}
	}
	return places
}

func rhythm(m []beat) string { return written(m, func(b beat) string { return b.onset.String() }) }

func notes(m []beat) string { return written(m, func(b beat) string { return fmt.Sprint(b) }) }

func written(m []beat, write func(beat) string) string {
	var text strings.Builder
	for _, b := range m {
		text.WriteString(write(b))
		text.WriteByte(' ')
	}
	return text.String()
}

// candidates is how many earlier places of one kind are looked at for a return, the
// latest first, so that time grows in proportion to length.
const candidates = 12

// sources are the places of which so many measures from first on may be the return.
func (x *index) sources(first, length int) (all []int) {
	for lead := range min(4, length) { // the first measures may be varied
		for _, places := range x.like(first + lead) {
			seen := 0
			for k := len(places) - 1; k >= 0 && seen < candidates; k-- {
				from := places[k] - lead
				if from < 0 || from+length > first {
					continue
				}
				if seen++; !slices.Contains(all, from) {
					all = append(all, from)
				}
			}
		}
	}
	return all
}

// tell is the cost of the measures from first on, as new music, -1, or as the
// return of those that were before.
func (f *reader) tell(x *index, first, length int) (cost float64, was int) {
	cost, was = newCost+float64(length)+usual(length), -1
	for _, from := range x.sources(first, length) {
		if !f.headAlike(from, first, length) {
			continue
		}
		unlike := float64(length) - f.sumAlike(from, first, length)
		if unlike > (1-nearly)*float64(length) {
			continue
		}
		if c := returnCost + unlikeCost*unlike + usual(length); c < cost {
			cost, was = c, from
		}
	}
	return cost, was
}

// usual is what an unusual length costs.
func usual(length int) float64 {
	return lengthCost*math.Abs(math.Log2(float64(length)/usualLength)) + float64(max(0, length-longest))
}

// sumAlike is how far a row of measures is the same as another, or as that one
// transposed by what lies between their first notes; what is not near enough
// then is not the same at all.
func (f *reader) sumAlike(a, b, length int) float64 {
	up := 0
	for i := range length {
		if len(f.tune[a+i]) > 0 && len(f.tune[b+i]) > 0 {
			up = f.tune[b+i][0].pitch - f.tune[a+i][0].pitch
			break
		}
	}
	same, moved := 0.0, 0.0
	for i := range length {
		same += alike(f.tune[a+i], f.tune[b+i], 0)
		if up != 0 {
			moved += alike(f.tune[a+i], f.tune[b+i], up)
		}
	}
	if moved < nearlyMoved*float64(length) {
		moved = 0
	}
	return max(same, moved)
}

// headAlike tells whether two rows of measures begin alike: a return is known
// by its head.
func (f *reader) headAlike(a, b, length int) bool {
	n := min(2, length)
	return f.sumAlike(a, b, n) > headlike*float64(n)
}
