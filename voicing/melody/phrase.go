package melody

import (
	"fmt"
	"math"
	"slices"

	"undersong/score"
)

// Phrase is a stretch of the melody between breaths.
type Phrase struct {
	First, Last int // of Line.Tones: Tones[First:Last]
	// Sure is the share of its notes that are expected to be right, in per cent;
	// 100 is a line that the score or the user sets apart.
	Sure int
	// Rival is the line it might be instead, where Sure is below [SureEnough]: indexes
	// of tones in time order. RivalFrom says where most of it stands, such as
	// "part Piano, staff 2".
	Rival     []int
	RivalFrom string
}

// SureOfAll is how sure the line is on the mean of its notes, in per cent.
func (l *Line) SureOfAll() int {
	sum := 0
	for _, p := range l.Phrases {
		sum += p.Sure * (p.Last - p.First)
	}
	return sum / max(len(l.Tones), 1)
}

// SureEnough is the sureness, in per cent, from which a phrase is not doubted:
// the project's own figure.
const SureEnough = 75

// StandsClear is how much louder than what is struck with it the melody has to
// be, in dB of the loudness model, to stand clear (J. Denyn, in Heemschut, Feb
// 1944: part melody and counter-melody in register and level). The figure is
// the project's own: half of the power is 3.
const StandsClear = 3.0

// What a row of phrases costs and is worth beside the breaths at their ends:
// phrases of a usual length, of one length, that begin alike are common
// practice, no source. That melodies are parted by gaps, a usual length and one
// place in the measure is the method of D. Temperley, "The Cognition of Basic
// Musical Structures", 2001, ch. 3 (from memory); the figures are the project's
// own, tried on the tunes of voicing/form/testdata.
const (
	endCost    = 3.0 // any end: what it has to be worth at least
	lengthCost = 2.0 // each doubling or halving away from the usual length; of a longer one for each usual length
	placeCost  = 0.5 // a phrase that begins at another place in the measure than the one before
	alikeWorth = 1.0 // one that begins with the same rhythm
	evenWorth  = 1.0 // one that begins as far after it as that after the one before
	shortest   = 3   // notes
	longest    = 48  // notes
	mostUsual  = 3   // times the usual length
)

// usualMeasures is how many measures a phrase has (common practice, no
// source), of 2 to 6 quarter notes each.
const usualMeasures = 4

// phrases parts line, indexes of tones, at its breaths: of all ways to part
// it the one whose ends and likenesses are worth most, less what unusual lengths
// cost.
func phrases(s *score.Score, tones []score.Tone, line []int) []Phrase {
	if len(line) == 0 {
		return nil
	}
	p := newParting(s, tones, line)
	var all []Phrase
	for _, cut := range p.best() {
		all = append(all, Phrase{First: cut[0], Last: cut[1], Sure: 100})
	}
	return all
}

// parting is a line being parted. All that is by note is in the order of the
// line, times in quarters.
type parting struct {
	onset, end []float64
	worth      []float64 // of an end after this note, beside its cost
	usual      float64   // length of a phrase
	starts     []int     // notes that a phrase may begin with, and the end of the line
	at         []start   // the same notes
}

// start is a note that a phrase may begin with.
type start struct {
	onset, place float64 // place is how far the next barline is away, 0 on one
	rhythm       uint64  // of the notes from this one on
}

func newParting(s *score.Score, tones []score.Tone, line []int) *parting {
	n := len(line)
	p := &parting{
		onset: make([]float64, 0, n), end: make([]float64, 0, n), worth: breaths(s, tones, line),
		usual: usualLength(s), starts: make([]int, 0, n+1), at: make([]start, 0, n),
	}
	for _, i := range line {
		p.onset, p.end = append(p.onset, tones[i].Onset.Quarters()), append(p.end, tones[i].End().Quarters())
	}
	barlines, rhythms := s.Starts(), rhythms(p.onset)
	for k, i := range line {
		if k > 0 && !p.mayEnd(k-1) {
			continue
		}
		t := &tones[i]
		m := t.Pieces[0].Measure
		left := barlines[m+1].Sub(t.Onset)
		if k > 0 && barlines[m] == t.Onset || k == 0 && !left.Less(usualMeasure(s)) { // on a barline; at the beginning, no pickup
			left = score.Time{}
		}
		p.starts = append(p.starts, k)
		p.at = append(p.at, start{p.onset[k], left.Quarters(), rhythms[k]})
	}
	p.starts = append(p.starts, len(line))
	return p
}

// openingNotes is how many notes make two phrases begin alike.
const openingNotes = 4

// rhythms tells, by one number for each note, how far the next few are from
// each other.
func rhythms(onset []float64) []uint64 {
	all := make([]uint64, len(onset))
	for k := range onset {
		sum := uint64(k) + 1<<32 // of its own, near the end
		if k+openingNotes < len(onset) {
			sum = 0
			for j := k; j < k+openingNotes; j++ {
				sum = sum*1_000_003 + math.Float64bits(onset[j+1]-onset[j])
			}
		}
		all[k] = sum
	}
	return all
}

// mayEnd tells whether a phrase may end with a note: not with one that is
// shorter than the next, unless something speaks for it.
func (p *parting) mayEnd(k int) bool {
	if p.worth[k] > 0 || k+2 >= len(p.onset) {
		return true
	}
	return p.onset[k+2]-p.onset[k+1] <= p.onset[k+1]-p.onset[k] && p.worth[k] == 0
}

// parted is the best parting up to a start whose last phrase begins with another
// one.
type parted struct {
	worth  float64
	first  int // the start that the last phrase begins with
	before int // the parting before that phrase
}

// hopeless is by how much a parting up to a start is worth less than the best one
// there that can never be a part of the best whole: no next phrase favours it by as
// much.
const hopeless = alikeWorth + evenWorth + placeCost + 0.5

// best are the phrases, each from a note to before another, of the parting that
// is worth most, by dynamic programming over the last phrase and the one before
// it.
func (p *parting) best() [][2]int {
	n := len(p.starts)
	all := []parted{{}}     // the first is of nothing yet
	row := make([]int, n+1) // up to each start: all[row[start]:row[start+1]]
	row[1] = 1
	for last := 1; last < n; last++ {
		most := math.Inf(-1)
		for first := last - 1; first >= 0 && (first == last-1 || p.near(first, last)); first-- {
			worth, before := p.after(all[row[first]:row[first+1]], first, last)
			worth += p.alone(first, last)
			all = append(all, parted{worth, first, row[first] + before})
			most = max(most, worth)
		}
		kept := all[:row[last]]
		for _, q := range all[row[last]:] {
			if q.worth >= most-hopeless {
				kept = append(kept, q)
			}
		}
		all, row[last+1] = kept, len(kept)
	}
	at := row[n-1]
	for i := at; i < len(all); i++ {
		if all[i].worth > all[at].worth {
			at = i
		}
	}
	var cuts [][2]int
	for last := n - 1; last > 0; at = all[at].before {
		cuts = append(cuts, [2]int{p.starts[all[at].first], p.starts[last]})
		last = all[at].first
	}
	slices.Reverse(cuts)
	return cuts
}

// near tells whether a phrase may go from one start to another.
func (p *parting) near(first, last int) bool {
	a, b := p.starts[first], p.starts[last]
	return b-a <= longest && p.onset[b-1]-p.onset[a] <= mostUsual*p.usual
}

// after is what the best of the partings up to a phrase is worth beside it, and
// which that is.
func (p *parting) after(partings []parted, first, last int) (best float64, before int) {
	if first == 0 {
		return 0, 0
	}
	best = math.Inf(-1)
	at := p.at[first]
	length := math.Inf(1)
	if last < len(p.at) {
		length = p.at[last].onset - at.onset
	}
	for i := range partings {
		w := partings[i].worth
		if w+alikeWorth+evenWorth <= best {
			continue
		}
		begin := &p.at[partings[i].first]
		if begin.place != at.place {
			w -= placeCost
		}
		if begin.rhythm == at.rhythm {
			w += alikeWorth
		}
		if at.onset-begin.onset == length {
			w += evenWorth
		}
		if w > best {
			best, before = w, i
		}
	}
	return best, before
}

// alone is what a phrase is worth by itself.
func (p *parting) alone(first, last int) float64 {
	a, b := p.starts[first], p.starts[last]
	worth := 0.0
	if b < len(p.onset) {
		worth = p.worth[b-1] - endCost
	}
	length := p.end[b-1] - p.onset[a]
	later := p.endingAt(a)                               // what it ends is before the first ending
	back := p.endingAt(b) && (later || length <= pickup) // all of an ending, or a pickup to the beginning
	goesOn := later && p.isPickup(b)                     // what an ending is but for that
	if b-a < shortest && a > 0 && b < len(p.onset) && !back && !goesOn {
		worth -= 100
	}
	ratio := max(length, 1) / p.usual
	if later || back {
		ratio = max(ratio, 1)
	}
	return worth - lengthCost*math.Abs(math.Log2(ratio))*max(ratio, 1)
}

// endingAt tells whether a note is the first of another ending.
func (p *parting) endingAt(k int) bool {
	return k > 0 && k < len(p.onset) && p.worth[k-1] > endingWorth/2
}

// isPickup tells whether the notes from one on, up to another ending, are no more than a pickup.
func (p *parting) isPickup(k int) bool {
	for i := k; i < len(p.onset) && p.onset[i]-p.onset[k] < pickup; i++ {
		if p.endingAt(i + 1) {
			return p.end[i]-p.onset[k] <= pickup
		}
	}
	return false
}

// usualLength is the usual length of a phrase in quarter notes.
func usualLength(s *score.Score) float64 {
	return usualMeasures * min(max(usualMeasure(s).Quarters(), 2), 6)
}

// usualMeasure is the middle one of the lengths of all measures.
func usualMeasure(s *score.Score) score.Time {
	starts := s.Starts()
	if len(starts) < 2 {
		return score.Whole
	}
	lengths := make([]score.Time, len(starts)-1)
	for i := range lengths {
		lengths[i] = starts[i+1].Sub(starts[i])
	}
	slices.SortFunc(lengths, score.Time.Cmp)
	return lengths[len(lengths)/2]
}

// staffName is where most of the tones stand.
func staffName(s *score.Score, tones []score.Tone, line []int) string {
	count := map[stave]int{}
	var most stave
	for _, i := range line {
		at := staveOf(&tones[i])
		if count[at]++; count[at] > count[most] {
			most = at
		}
	}
	p := s.Parts[most.part]
	if p.Staves == 1 {
		return "part " + partName(p)
	}
	return fmt.Sprintf("part %s, staff %d", partName(p), most.staff)
}
