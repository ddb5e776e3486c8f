package voicing

import (
	"cmp"
	"slices"

	"undersong/score"
)

// balance writes the levels: the source's dynamic marks and hairpins for the
// melody, and some steps lower for everything under or over it, so that the
// melody stands clear (J. Denyn, in Heemschut, Feb 1944: part melody and
// counter-melody in level). The marks are restated where the melody changes
// its seat.
type balance struct{}

// Name is "balance".
func (balance) Name() string { return "balance" }

const (
	// margin is how much louder than all that is struck with it a note of the
	// melody should be, in dB, in the loudness model of package instrument: the
	// project's own figure.
	margin = 6
	// The accompaniment is at least one step softer than the melody, and at most
	// four. It is at most three under the source's marks, and never under pp,
	// which leaves a touch that bells still answer; where that is not enough the
	// melody is raised. The project's own.
	leastSteps, mostSteps, mostApart = 1, 3, 4
)

// levels are MusicXML's plain dynamic marks from the softest to the loudest.
var levels = []string{
	"pppppp", "ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "fffff", "ffffff",
}

// softestMark and loudestMark are the marks that players read.
const softestMark, loudestMark = "pp", "fff"

// softer is the mark so many steps under a plain one, within the marks that
// players read; ok is false for a mark that is no level, such as sfz.
func softer(mark string, steps int) (string, bool) {
	i := slices.Index(levels, mark)
	if i < 0 {
		return "", false
	}
	lowest, highest := min(i, slices.Index(levels, softestMark)), max(i, slices.Index(levels, loudestMark))
	return levels[min(max(i-steps, lowest), highest)], true
}

// levelLine is a line of the result with its own marks.
type levelLine struct {
	staff, voice int
	placement    string
	steps        int // softer than the source's marks
}

// stretch is a part of the piece in which the melody keeps its seat.
type stretch struct {
	from  score.Time
	lines []levelLine
}

// Apply implements [pass].
func (b balance) Apply(a *arrangement) {
	melody := together(a.with(tune))
	if len(melody) == 0 {
		return
	}
	stretches := b.stretches(a, melody)
	marks, wedges := a.sourceLevels(melody[0])
	marks = a.restate(marks, stretches)
	b.tell(a, melody, marks, stretches)
	strokes := a.strokesByStaff()
	for i, m := range marks {
		until := a.starts[len(a.starts)-1]
		if i+1 < len(marks) {
			until = marks[i+1].onset
		}
		for _, l := range linesAt(stretches, m.onset) {
			if next, any := nextFrom(m.onset, strokes[l.staff]); any && next.Less(until) && !a.asWritten[m.measure] {
				a.addMark(m, l)
			}
		}
	}
	for _, w := range pairWedges(wedges) {
		if a.asWritten[w[0].measure] || a.asWritten[w[1].measure] {
			continue
		}
		staves := map[int]bool{} // one hairpin is enough for both hands
		for i, l := range linesAt(stretches, w[0].onset) {
			if next, any := nextFrom(w[0].onset, strokes[l.staff]); !any || w[1].onset.Less(next) || staves[l.staff] {
				continue
			}
			staves[l.staff] = true
			a.addWedge(w[0], l, i+1)
			a.addWedge(w[1], l, i+1)
		}
	}
}

// strokesByStaff are the onsets of what each staff of the result strikes, in time order.
func (a *arrangement) strokesByStaff() (strokes [3][]score.Time) {
	for _, n := range a.struck() {
		strokes[n.line.staff] = append(strokes[n.line.staff], n.Onset)
	}
	return strokes
}

// nextFrom is the first of some onsets, in time order, from a moment on. A mark or a
// hairpin over nothing but rests says nothing.
func nextFrom(from score.Time, onsets []score.Time) (next score.Time, any bool) {
	i, _ := slices.BinarySearchFunc(onsets, from, score.Time.Cmp)
	if i == len(onsets) {
		return next, false
	}
	return onsets[i], true
}

// stretches parts the piece where the melody changes its seat or its voicing.
func (b balance) stretches(a *arrangement, melody [][]*note) []stretch {
	var all []stretch
	start := 0
	for i := 1; i <= len(melody); i++ {
		if i < len(melody) && melody[i][0].sits() == melody[start][0].sits() && melody[i][0].way == melody[start][0].way &&
			!a.writtenBetween(melody[i-1][0].Onset, melody[i][0].Onset) {
			continue
		}
		all = append(all, stretch{melody[start][0].Onset, b.lines(a, melody[start:i])})
		start = i
	}
	all[0].from = score.Min(all[0].from, a.firstStroke())
	return all
}

// writtenBetween tells whether measures are left as written between two
// moments: their marks do not hold for what follows.
func (a *arrangement) writtenBetween(from, to score.Time) bool {
	return slices.Contains(a.asWritten[a.measureAt(from):a.measureAt(to)+1], true)
}

// lines are what has its own marks while the melody is where it is, in the
// order in which they are written.
func (b balance) lines(a *arrangement, melody [][]*note) []levelLine {
	under, underBass := b.steps(a, melody)
	if softer := melody[0][0].way.softer; softer > 0 {
		under, underBass = softer, softer
	}
	most := under
	if len(a.with(bass)) > 0 {
		most = max(most, underBass)
	}
	raise := b.raise(a, most)
	var lines []levelLine
	switch melody[0][0].sits() {
	case rightHand:
		lines = []levelLine{{1, 1, "above", -raise}, {1, 2, "below", under - raise}}
	case leftHand:
		lines = []levelLine{{1, 1, "above", under - raise}, {1, 2, "below", -raise}}
	case feet:
		return []levelLine{{1, 1, "below", under - raise}, {2, 5, "below", -raise}}
	}
	if len(a.with(bass)) > 0 {
		lines = append(lines, levelLine{2, 5, "below", underBass - raise})
	}
	return lines
}

// raise is by how many marks the melody is raised so that what lies so many
// under it is not too soft, as far as the loudest mark of the source allows.
func (balance) raise(a *arrangement, steps int) int {
	softest := slices.Index(levels, "mf") // before the first mark
	loudest := softest
	marks, _ := a.levelsOf(func(int) bool { return true })
	for i, m := range marks {
		if at := slices.Index(levels, m.d.Signs[0].Text); at >= 0 {
			if i == 0 && !a.firstStroke().Less(m.onset) {
				softest, loudest = at, at
			}
			softest, loudest = min(softest, at), max(loudest, at)
		}
	}
	need := max(steps-mostSteps, slices.Index(levels, softestMark)-(softest-steps), 0)
	return min(need, max(0, slices.Index(levels, loudestMark)-loudest))
}

// linesAt are the lines of the stretch that an onset falls in.
func linesAt(stretches []stretch, onset score.Time) []levelLine {
	i := 0
	for i+1 < len(stretches) && !onset.Less(stretches[i+1].from) {
		i++
	}
	return stretches[i].lines
}

// restate adds the mark in force, mf before the first, to marks, in time
// order, where a stretch begins without one.
func (a *arrangement) restate(marks []levelSign, stretches []stretch) []levelSign {
	var added []levelSign
	for _, s := range stretches {
		if !slices.ContainsFunc(marks, func(m levelSign) bool { return m.onset == s.from }) {
			i := a.measureAt(s.from)
			added = append(added, levelSign{
				measure: i, onset: s.from,
				d: score.Direction{Onset: s.from.Sub(a.starts[i]), Signs: []score.Sign{{Name: "dynamics", Text: markAt(marks, s.from)}}},
			})
		}
	}
	marks = append(marks, added...)
	slices.SortStableFunc(marks, inTime)
	return marks
}

// levelSign is a dynamic mark or one end of a hairpin in the source.
type levelSign struct {
	part, measure int
	onset         score.Time
	d             score.Direction // with this sign alone
}

// firstStroke is when the first note of the result is struck.
func (a *arrangement) firstStroke() score.Time {
	return a.where(func(n *note) bool { return n.leftOut == "" && n.way != nil })[0].Onset
}

// sourceLevels are the dynamic marks and hairpins of the melody's part. Those
// of other parts count where the melody rests, or where its part has none at
// all; the rest of them give way to the melody's. Of two marks at one moment
// the upper staff's counts.
func (a *arrangement) sourceLevels(melody []*note) (marks, wedges []levelSign) {
	tune := melody[0].Part
	marks, wedges = a.levelsOf(func(part int) bool { return part == tune })
	none := len(marks)+len(wedges) == 0
	otherMarks, otherWedges := a.levelsOf(func(part int) bool { return part != tune })
	sings := a.melodyRanges()
	for _, m := range otherMarks {
		if _, busy := sings[m.onset]; none || !busy {
			marks = append(marks, m)
		} else {
			a.leaveOutSign(m.d.Signs[0].Source, m.part, m.onset, "dynamics", "the level follows the melody's")
		}
	}
	if none {
		wedges = otherWedges
	} else {
		for _, w := range otherWedges {
			a.leaveOutSign(w.d.Signs[0].Source, w.part, w.onset, "wedge", "the level follows the melody's")
		}
	}
	slices.SortStableFunc(marks, inTime)
	return slices.CompactFunc(marks, func(x, y levelSign) bool { return x.onset == y.onset }), wedges
}

func inTime(x, y levelSign) int {
	return cmp.Or(x.onset.Cmp(y.onset), cmp.Compare(x.d.Staff, y.d.Staff))
}

func (a *arrangement) levelsOf(wanted func(part int) bool) (marks, wedges []levelSign) {
	for part, p := range a.source.Parts {
		for i, m := range p.Measures {
			for _, d := range m.Directions {
				if !wanted(part) {
					continue
				}
				for _, s := range d.Signs {
					one := d
					one.Signs = []score.Sign{s}
					l := levelSign{part, i, a.starts[i].Add(d.Onset), one}
					switch s.Name {
					case "dynamics":
						marks = append(marks, l)
					case "wedge":
						wedges = append(wedges, l)
					}
				}
			}
		}
	}
	slices.SortStableFunc(marks, inTime)
	slices.SortStableFunc(wedges, inTime)
	return marks, wedges
}

// pairWedges are the hairpins that have both ends, without those that begin
// before the last has ended.
func pairWedges(ends []levelSign) [][2]levelSign {
	var pairs [][2]levelSign
	var from *levelSign
	for i := range ends {
		switch ends[i].d.Signs[0].Type {
		case "stop":
			if from != nil && from.onset.Less(ends[i].onset) {
				pairs = append(pairs, [2]levelSign{*from, ends[i]})
				from = nil
			}
		case "crescendo", "diminuendo":
			if from == nil {
				from = &ends[i]
			}
		}
	}
	return pairs
}

func (a *arrangement) addMark(m levelSign, l levelLine) {
	sign := m.d.Signs[0]
	if l.steps != 0 {
		text, ok := softer(sign.Text, l.steps)
		switch {
		case !ok && l.steps > 0:
			return // an accent of the melody
		case !ok:
			text = sign.Text
		}
		sign = score.Sign{Name: "dynamics", Text: text}
	}
	a.addLevel(m, l, sign)
}

func (a *arrangement) addWedge(w levelSign, l levelLine, number int) {
	sign := w.d.Signs[0]
	if l.steps != 0 {
		sign.Source = 0
	}
	sign.Number = number
	a.addLevel(w, l, sign)
}

func (a *arrangement) addLevel(s levelSign, l levelLine, sign score.Sign) {
	a.directions = append(a.directions, placedDirection{s.measure, score.Direction{
		Onset: s.d.Onset, Signs: []score.Sign{sign}, Staff: l.staff, Voice: l.voice, Placement: l.placement,
	}})
}
