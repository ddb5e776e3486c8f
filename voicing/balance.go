package voicing

import (
	"cmp"
	"slices"

	"undersong/score"
)

// levelLine is a line of the result with its own marks.
type levelLine struct {
	staff, voice int
	placement    string
	under        int // marks under the melody; 0 for the melody's own line
}

// levelStretch is a part of the piece in which the melody keeps its seat, or in which its
// line has accompaniment alone.
type levelStretch struct {
	from    score.Time
	way     *way
	strikes []strike
	apart   apart
	raised  scale
	lines   []levelLine
	rest    int // the only staff whose marks change where it begins, at a rest of the melody or after one; 0: on all
}

// levelInForce is the mark of a line, from some moment on.
type levelInForce struct {
	text string
	from score.Time
}

// on is the lines on a staff that have their own marks.
func (s *levelStretch) on(staff int) (lines []levelLine) {
	for _, l := range s.lines {
		if l.staff == staff {
			lines = append(lines, l)
		}
	}
	return lines
}

// restates tells whether a mark only says again what is in force on a staff.
func (s *levelStretch) restates(m levelSign, staff int) bool {
	return m.part == nowhereWritten && s.rest != 0 && s.rest != staff
}

// asked tells whether the plan says how far apart it is marked.
func (s *levelStretch) asked() bool { return s.way.softer > 0 }

// balance writes the levels: the source's dynamic marks and hairpins for the
// melody, raised where that is needed ([scale]), and some steps lower for everything
// under or over it, so that the melody stands clear (J. Denyn, in Heemschut, Feb 1944:
// part melody and counter-melody in level). The marks are restated where the melody
// changes its seat, and where its line has accompaniment while it rests.
func (a *arrangement) balance() {
	melody := together(a.with(tune))
	if len(melody) == 0 {
		return
	}
	marks, wedges := a.sourceLevels()
	stretches := a.levelStretches(melody)
	marks = a.restate(marks, wedges, stretches)
	a.raise(marks, stretches)
	a.tellLevels(marks, stretches)
	strokes := a.strokesByStaff()
	inForce := map[line]levelInForce{}
	for i, m := range marks {
		if a.asWritten[m.measure] {
			continue
		}
		in := stretchAt(stretches, m.onset)
		for staff := range strokes {
			next, found := nextFrom(m.onset, strokes[staff])
			if !found || in.restates(m, staff) || !next.Less(a.until(marks[i+1:], stretches, staff)) {
				continue // the mark is in force, or would stand over rests
			}
			for _, l := range a.unsaid(m, in, in.on(staff), inForce, wedges) {
				text, _ := in.mark(m.d.Signs[0].Text, l.under)
				a.addMark(a.atStroke(m, next), l, text)
				inForce[line{l.staff, l.voice}] = levelInForce{text, m.onset}
			}
		}
	}
	for _, w := range pairWedges(wedges) {
		if a.asWritten[w[0].measure] || a.asWritten[w[1].measure] {
			continue
		}
		staves := map[int]bool{} // one hairpin is enough for both hands
		for i, l := range stretchAt(stretches, w[0].onset).lines {
			if next, found := nextFrom(w[0].onset, strokes[l.staff]); !found || !next.Less(w[1].onset) || staves[l.staff] {
				continue
			}
			staves[l.staff] = true
			a.addWedge(w[0], l, i+1)
			a.addWedge(w[1], l, i+1)
		}
	}
}

// unsaid is which lines of a staff a mark has to be written for: none, if it is in force for
// all of them, as a mark that the source has not may be. Else also those for which it is,
// as the mark of one hand can be read for the other, unless both are marked alike.
func (a *arrangement) unsaid(m levelSign, in *levelStretch, lines []levelLine, inForce map[line]levelInForce, wedges []levelSign) []levelLine {
	var marked, changed []levelLine
	texts := map[string]bool{}
	for _, l := range lines {
		text, ok := in.mark(m.d.Signs[0].Text, l.under)
		if !ok {
			continue
		}
		texts[text], marked = true, append(marked, l)
		if was := inForce[line{l.staff, l.voice}]; m.part != nowhereWritten || was.text != text || !a.lasts(was.from, m.onset, wedges) {
			changed = append(changed, l)
		}
	}
	if len(changed) == 0 || len(texts) == 1 {
		return changed
	}
	return marked
}

// lasts tells whether a mark is still in force at a later moment: no hairpin ends between,
// and no repeat or jump comes in there from elsewhere.
func (a *arrangement) lasts(from, to score.Time, wedges []levelSign) bool {
	if hairpin(wedges, from, to) {
		return false
	}
	for _, p := range a.source.Parts {
		for i := a.measureAt(from); i <= a.measureAt(to) && i < len(p.Measures); i++ {
			if entered(p.Measures[i]) {
				return false
			}
		}
	}
	return true
}

// hairpin tells whether one begins or ends after a moment and no later than another.
func hairpin(wedges []levelSign, after, to score.Time) bool {
	i, _ := slices.BinarySearchFunc(wedges, after, func(w levelSign, t score.Time) int { return afterward(w.onset, t) })
	return i < len(wedges) && !to.Less(wedges[i].onset)
}

// entered tells whether a measure may be played after another than the one before it,
// or begins or ends what is.
func entered(m *score.Measure) bool {
	return slices.ContainsFunc(m.Barlines, func(b score.Barline) bool {
		return b.Repeat != "" || b.Ending.Type != "" || b.Segno || b.Coda
	}) || slices.ContainsFunc(m.Directions, func(d score.Direction) bool {
		return d.Sound.Segno != "" || d.Sound.Coda != "" || d.Sound.ForwardStart
	})
}

// until is when the next of some marks comes that is for a staff.
func (a *arrangement) until(marks []levelSign, stretches []levelStretch, staff int) score.Time {
	for _, m := range marks {
		if !stretchAt(stretches, m.onset).restates(m, staff) {
			return m.onset
		}
	}
	return a.starts[len(a.starts)-1]
}

// atStroke is a mark where the stroke is that it is for, if measures of rests lie between.
func (a *arrangement) atStroke(m levelSign, stroke score.Time) levelSign {
	if at := a.measureAt(stroke); at > m.measure && !a.asWritten[at] {
		m.measure, m.onset, m.d.Onset = at, stroke, stroke.Sub(a.starts[at])
	}
	return m
}

// strokesByStaff are the onsets of what each staff of the result strikes, in time order.
func (a *arrangement) strokesByStaff() (strokes [3][]score.Time) {
	for _, n := range a.played() {
		strokes[n.line.staff] = append(strokes[n.line.staff], n.Onset)
	}
	return strokes
}

// nextFrom is the first of some onsets, in time order, from a moment on. A mark or a
// hairpin over nothing but rests says nothing.
func nextFrom(from score.Time, onsets []score.Time) (next score.Time, found bool) {
	i, _ := slices.BinarySearchFunc(onsets, from, score.Time.Cmp)
	if i == len(onsets) {
		return next, false
	}
	return onsets[i], true
}

// levelStretches parts the piece where the melody changes its seat or its voicing, and at its
// rests.
func (a *arrangement) levelStretches(melody [][]*note) []levelStretch {
	var all []levelStretch
	bassLine := len(a.with(bass)) > 0
	start := 0
	for i := 1; i <= len(melody); i++ {
		if i < len(melody) && melody[i][0].sits() == melody[start][0].sits() && melody[i][0].way == melody[start][0].way &&
			!a.writtenBetween(melody[i-1][0].Onset, melody[i][0].Onset) {
			continue
		}
		all = append(all, a.levelStretchOf(melody[start:i], bassLine))
		start = i
	}
	all[0].from = score.Min(all[0].from, a.firstStroke())
	var parted []levelStretch
	strikes := together(a.played())
	for i := range all {
		end := len(strikes)
		if i+1 < len(all) {
			end, _ = slices.BinarySearchFunc(strikes, all[i+1].from, func(s []*note, t score.Time) int { return s[0].Onset.Cmp(t) })
		}
		parted = append(parted, all[i].atRests(strikes[:end])...)
		strikes = strikes[end:]
	}
	return parted
}

// atRests parts a stretch, which has some strikes, where the melody's line has
// accompaniment alone, which is marked as such. Before it begins it has no mark.
func (s levelStretch) atRests(strikes [][]*note) []levelStretch {
	own := slices.IndexFunc(s.lines, func(l levelLine) bool { return l.under == 0 })
	line := line{s.lines[own].staff, s.lines[own].voice}
	const sings, rests, waits = 0, 1, 2
	lines := [][]levelLine{s.lines, slices.Clone(s.lines), slices.Delete(slices.Clone(s.lines), own, own+1)}
	lines[rests][own].under = s.apart.under
	parts, was := []levelStretch{s}, sings
	for i, strike := range strikes {
		is := was
		switch {
		case slices.ContainsFunc(strike, func(n *note) bool { return n.role == tune }):
			is = sings
		case slices.ContainsFunc(strike, func(n *note) bool { return n.line == line }):
			is = rests
		case i == 0:
			is = waits
		}
		if is == was {
			continue
		}
		if was = is; i > 0 {
			parts = append(parts, levelStretch{from: strike[0].Onset, way: s.way, apart: s.apart, rest: line.staff})
		}
		parts[len(parts)-1].lines = lines[is]
	}
	return parts
}

// writtenBetween tells whether measures are left as written between two
// moments: their marks do not hold for what follows.
func (a *arrangement) writtenBetween(from, to score.Time) bool {
	return slices.Contains(a.asWritten[a.measureAt(from):a.measureAt(to)+1], true)
}

// levelStretchOf is that of some strikes of the melody, with what has its own marks
// there in the order in which it is written; a bass, if the piece has a line of it.
func (a *arrangement) levelStretchOf(melody [][]*note, bassLine bool) levelStretch {
	first := melody[0][0]
	s := levelStretch{from: first.Onset, way: first.way, strikes: a.strikesWith(melody)}
	if s.apart = (apart{s.way.softer, s.way.softer}); !s.asked() {
		s.apart = a.apartFor(s.strikes)
	}
	under := levelLine{1, 1, "above", s.apart.under}
	switch first.sits() {
	case rightHand:
		under.voice, under.placement = 2, "below"
		s.lines = []levelLine{{1, 1, "above", 0}, under}
	case leftHand:
		s.lines = []levelLine{under, {1, 2, "below", 0}}
	case feet:
		under.placement = "below"
		s.lines = []levelLine{under, {2, 5, "below", 0}}
		return s
	}
	if bassLine {
		s.lines = append(s.lines, levelLine{2, 5, "below", s.apart.bass})
	}
	return s
}

// stretchAt is the stretch that an onset falls in.
func stretchAt(stretches []levelStretch, onset score.Time) *levelStretch {
	i, found := slices.BinarySearchFunc(stretches, onset, func(s levelStretch, t score.Time) int { return s.from.Cmp(t) })
	if !found {
		i = max(i-1, 0)
	}
	return &stretches[i]
}

// restate adds the mark in force, mf before the first, to marks, in time
// order, where a stretch begins without one, and leaves out what only says again what
// another part, or the mark so added, has said.
func (a *arrangement) restate(marks, wedges []levelSign, stretches []levelStretch) []levelSign {
	var added []levelSign
	for _, s := range stretches {
		if _, there := slices.BinarySearchFunc(marks, s.from, levelSign.begins); !there {
			i := a.measureAt(s.from)
			added = append(added, levelSign{
				part: nowhereWritten, measure: i, onset: s.from,
				d: score.Direction{Onset: s.from.Sub(a.starts[i]), Signs: []score.Sign{{Name: "dynamics", Text: markAt(marks, s.from)}}},
			})
		}
	}
	marks = append(marks, added...)
	slices.SortStableFunc(marks, inTime)
	kept := marks[:0]
	for _, m := range marks {
		if len(kept) > 0 && a.repeats(kept[len(kept)-1], m, wedges, stretches) {
			a.leaveOutSign(m.sign(), "it is in force already")
			continue
		}
		kept = append(kept, m)
	}
	return kept
}

// nowhereWritten is the part of a mark that the source has not.
const nowhereWritten = -1

// repeats tells whether m only says again what the mark before it, one of another part
// or of none, said in the same stretch: no hairpin has ended since.
func (a *arrangement) repeats(before, m levelSign, wedges []levelSign, stretches []levelStretch) bool {
	return m.part != before.part && m.d.Signs[0].Text == before.d.Signs[0].Text && level(m.d.Signs[0].Text) >= 0 &&
		stretchAt(stretches, before.onset) == stretchAt(stretches, m.onset) && m.onset != stretchAt(stretches, m.onset).from &&
		!hairpin(wedges, before.onset, m.onset)
}

// levelSign is a dynamic mark or one end of a hairpin in the source.
type levelSign struct {
	part, measure int
	onset         score.Time
	d             score.Direction // with this sign alone
}

// sign is its sign.
func (l levelSign) sign() sign {
	s := l.d.Signs[0]
	return sign{s.Source, l.part, l.onset, s.Name, s.Type}
}

// begins compares its onset with a moment.
func (l levelSign) begins(at score.Time) int { return l.onset.Cmp(at) }

// firstStroke is when the first note of the result is struck.
func (a *arrangement) firstStroke() score.Time {
	return a.played()[0].Onset
}

// sourceLevels are the dynamic marks and hairpins of the melody's part. Those
// of other parts count where the melody rests, though there be an interlude, or has struck its last note, or
// where its part has none at all; the rest of them give way to the melody's. Of
// two marks at one moment the upper staff's counts.
func (a *arrangement) sourceLevels() (marks, wedges []levelSign) {
	first, end := &a.tones[a.line.Tones[0]], &a.tones[a.line.Tones[len(a.line.Tones)-1]]
	marks, wedges = a.levelsOf(func(part int) bool { return part == first.Part })
	none := len(marks)+len(wedges) == 0
	otherMarks, otherWedges := a.levelsOf(func(part int) bool { return part != first.Part })
	sings := a.melodyRanges()
	for _, m := range otherMarks {
		if r, busy := sings[m.onset]; none || !busy || r.interlude || end.Onset.Less(m.onset) {
			marks = append(marks, m)
		} else {
			a.leaveOutSign(m.sign(), "the level follows the melody's")
		}
	}
	if none {
		wedges = otherWedges
	} else {
		for _, w := range otherWedges {
			a.leaveOutSign(w.sign(), "the level follows the melody's")
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

func (a *arrangement) addMark(m levelSign, l levelLine, text string) {
	sign := m.d.Signs[0]
	if l.under > 0 || text != sign.Text {
		sign = score.Sign{Name: "dynamics", Text: text}
	}
	a.addLevel(m, l, sign)
}

func (a *arrangement) addWedge(w levelSign, l levelLine, number int) {
	sign := w.d.Signs[0]
	if l.under > 0 {
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
