package form

import (
	"maps"
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
	before := make([]float64, len(b)+1)
	for j := range before {
		before[j] = float64(j)
	}
	now := make([]float64, len(b)+1)
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

// source is where a telling says that a section has been before, -1 for new
// music.
type source struct{ from int }

// returns parts each of parts at the phrases where its melody returns.
func (f *reader) returns(parts []stretch) []stretch {
	cuts := f.cuts(parts)
	n := len(cuts) - 1
	best, from, sources := make([]float64, n+1), make([]int, n+1), make([]source, n+1)
	forced := map[int]bool{}
	for _, p := range parts {
		forced[p.first] = true
	}
	index := f.index()
	for last := 1; last <= n; last++ {
		best[last] = math.Inf(1)
		for first := last - 1; first >= 0; first-- {
			length := cuts[last] - cuts[first]
			if length > longest && first < last-1 {
				break
			}
			cost, was := f.tell(index, cuts[first], length)
			if total := best[first] + cost; total < best[last] {
				best[last], from[last], sources[last] = total, first, was
			}
			if forced[cuts[first]] {
				break
			}
		}
	}
	at := map[int]bool{}
	var told []told
	for last := n; last > 0; last = from[last] {
		at[cuts[from[last]]] = true
		told = append(told, toldSection(cuts[from[last]], cuts[last], sources[last]))
	}
	f.settle(at, told)
	f.unite(at, forced)
	var all []stretch
	for i := range f.tune {
		if at[i] {
			all = append(all, stretch{first: i})
		}
	}
	return f.close(all)
}

// told is a section of a telling.
type told struct{ first, end, from int }

func toldSection(first, end int, s source) told { return told{first, end, s.from} }

// cuts are the measures at which a section may begin: where a phrase does, or
// a part, and the end.
func (f *reader) cuts(parts []stretch) []int {
	var cuts []int
	for _, p := range parts {
		cuts = append(cuts, p.first)
	}
	for _, b := range f.begins {
		cuts = append(cuts, b.measure)
	}
	cuts = append(cuts, len(f.tune))
	slices.Sort(cuts)
	return slices.Compact(cuts)
}

// index finds measures by their rhythm.
func (f *reader) index() map[string][]int {
	index := map[string][]int{}
	for i, m := range f.tune {
		if len(m) > 0 {
			index[rhythm(m)] = append(index[rhythm(m)], i)
		}
	}
	return index
}

func rhythm(m []beat) string {
	var b strings.Builder
	for _, n := range m {
		b.WriteString(n.onset.String())
		b.WriteByte(' ')
	}
	return b.String()
}

// candidates is how many earlier places are looked at for a return, the latest
// first, so that time grows in proportion to length.
const candidates = 12

// tell is the cost of the measures from first on, as new music or as the
// return of some before them.
func (f *reader) tell(index map[string][]int, first, length int) (cost float64, was source) {
	cost, was = newCost+float64(length)+usual(length), source{-1}
	seen := 0
	for lead := range min(4, length) { // the first measures may be varied
		places := index[rhythm(f.tune[first+lead])]
		for k := len(places) - 1; k >= 0 && seen < candidates; k-- {
			from := places[k] - lead
			if from < 0 || from+length > first {
				continue
			}
			seen++
			unlike := float64(length) - f.sumAlike(from, first, length)
			if unlike > (1-nearly)*float64(length) || !f.headAlike(from, first, length) {
				continue
			}
			if c := returnCost + unlikeCost*unlike + usual(length); c < cost {
				cost, was = c, source{from}
			}
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

// settle cuts where a return begins and ends, and a return where what it
// returns to is cut, until nothing more is.
func (f *reader) settle(at map[int]bool, all []told) {
	room := func(i int) bool {
		for d := 1; d < shortest; d++ {
			if at[i-d] || at[i+d] || i+d >= len(f.tune) && i < len(f.tune) {
				return false
			}
		}
		return true
	}
	for again := true; again; {
		again = false
		cut := func(i int) {
			if i > 0 && i < len(f.tune) && !at[i] && room(i) {
				at[i], again = true, true
			}
		}
		for _, t := range all {
			if t.from < 0 {
				continue
			}
			cut(t.from)
			cut(t.from + t.end - t.first)
			for i := t.first + 1; i < t.end; i++ {
				if at[t.from+i-t.first] {
					cut(i)
				}
				if at[i] {
					cut(t.from + i - t.first)
				}
			}
		}
	}
}

// reach is how many sections back a whole one is looked for that returns, and
// how many are told anew when a cut goes.
const reach = 24

// unite takes out cuts as long as that makes the telling cheaper, now that a
// section can only be the return of a whole one.
func (f *reader) unite(at, forced map[int]bool) {
	cuts := append(slices.Sorted(maps.Keys(at)), len(f.tune))
	for again := true; again; {
		again = false
		for k := 1; k < len(cuts)-1; k++ {
			if forced[cuts[k]] {
				continue
			}
			without := slices.Delete(slices.Clone(cuts), k, k+1)
			if f.cost(without, k-1, k+reach-1) < f.cost(cuts, k-1, k+reach) {
				delete(at, cuts[k])
				cuts, again = without, true
			}
		}
	}
}

// cost is that of telling the sections from one cut to another.
func (f *reader) cost(cuts []int, from, to int) float64 {
	sum := 0.0
	for k := from; k < min(to, len(cuts)-1); k++ {
		first, length := cuts[k], cuts[k+1]-cuts[k]
		least := newCost + float64(length)
		for j := max(0, k-reach); j < k; j++ {
			was := f.body(cuts[j])
			if cuts[j+1]-was != length || !f.headAlike(was, first, length) {
				continue
			}
			if unlike := float64(length) - f.sumAlike(was, first, length); unlike <= (1-nearly)*float64(length) {
				least = min(least, returnCost+unlikeCost*unlike)
			}
		}
		sum += least + usual(length)
	}
	return sum
}

// letter names sections by their melodies, the letter with a prime where they
// are nearly alike, and gives the letter to those without a name.
func (f *reader) letter(sections []Section) {
	var first []int // of each letter
	for i := range sections {
		s := &sections[i]
		if f.silent(stretch{first: s.First, end: s.Last + 1}) {
			continue
		}
		best, like := -1, 0.0
		for k, j := range first {
			l := f.likeness(&sections[j], s)
			if o := sections[j].Kind; o != s.Kind && o != Other && s.Kind != Other && l < exactly {
				continue // the score tells them apart
			}
			if l > like {
				best, like = k, l
			}
		}
		switch {
		case like >= exactly:
			s.Letter = letters(best)
		case like >= nearly:
			s.Letter = letters(best) + "′"
		default:
			s.Letter = letters(len(first))
			first = append(first, i)
		}
	}
	for i := range sections {
		if sections[i].Name == "" {
			sections[i].Name, sections[i].Because = sections[i].Letter, "its melody"
		}
	}
}

// exactly is how much alike sections of one letter are: a note here and there,
// or the words, may differ.
const exactly = 0.92

// likeness is how far two sections are alike, measure by measure from their
// beginnings as far as the shorter goes, of the length of the longer; the
// measure of a pickup at the beginning of the piece does not count.
func (f *reader) likeness(a, b *Section) float64 {
	from, to := f.body(a.First), f.body(b.First)
	n, m := a.Last-from+1, b.Last-to+1
	if min(n, m) < 1 {
		return 0
	}
	if !f.headAlike(from, to, min(n, m)) {
		return 0
	}
	like := f.sumAlike(from, to, min(n, m)) / float64(max(n, m))
	if n != m {
		like = min(like, exactly-0.01) // longer or shorter: not quite the same
	}
	return like
}

// body is the first measure of a section that begins with some measure, or the
// one after a pickup at the beginning of the piece.
func (f *reader) body(first int) int {
	if first == 0 && len(f.tune) > 1 && (f.short(0) || len(f.tune[0]) == 0 && len(f.tune[1]) > 0 && f.tune[1][0].onset.Sign() < 0) {
		return 1
	}
	return first
}

// short tells whether a measure is shorter than the next.
func (f *reader) short(i int) bool {
	return f.starts[i+1].Sub(f.starts[i]).Less(f.starts[i+2].Sub(f.starts[i+1]))
}

func letters(n int) string {
	if n < 26 {
		return string(rune('A' + n))
	}
	return letters(n/26-1) + letters(n%26)
}
