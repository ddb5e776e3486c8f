package voicing

import (
	"cmp"
	"math"
	"slices"

	"undersong/score"
	"undersong/voicing/playing"
)

// rounds is how often strokes are shared out anew: each round leaves out one
// note at least, in every place that needs it.
const rounds = 12

// settle makes sure that what is left can be played: where no sharing of the
// strokes between hands and feet can (package playing), the accompaniment loses
// the note that is needed least, until it can. The hands of the accompaniment
// are those of that sharing. What of the melody itself cannot be played stays,
// and is told.
func (a *arrangement) settle() {
	var spared, notes []*note
	var shared playing.Assignment
	share := func() {
		notes = a.played()
		shared = a.player.Assign(a.strokes(notes))
	}
	share()
	for range rounds - 1 {
		spare := a.relieve(notes, shared.Problems)
		if len(spare) == 0 {
			break
		}
		spared = append(spared, spare...)
		share()
	}
	slices.SortStableFunc(spared, func(m, n *note) int { return cmp.Compare(a.need(m), a.need(n)) })
	struck, lent := a.putBack(spared), a.toFeet(spared)
	if struck || lent {
		share()
	}
	for _, n := range spared {
		if n.leftOut != "" {
			a.leaveOut(n, n.leftOut)
		}
	}
	a.toHands(notes, shared.Limbs)
	a.tellHard(notes, shared.Problems)
}

// putBack strikes again what was left out in vain, of notes the most needed of which come
// first: what makes nothing impossible that is not so without it.
func (a *arrangement) putBack(spared []*note) bool {
	found := false
	for _, n := range spared {
		why := n.leftOut
		n.leftOut = ""
		with := a.impossibleNear(n)
		n.leftOut = why
		if with == 0 || with <= a.impossibleNear(n) {
			n.leftOut = ""
			found = true
		}
	}
	return found
}

// toFeet gives the feet what no hand can strike of the lowest notes on the beat, where they
// have the bass: a line over middle C that was left to the hands, mostly. It tells whether
// any is.
func (a *arrangement) toFeet(spared []*note) bool {
	found := false
	for _, n := range spared {
		key := n.key()
		if n.leftOut == "" || n.role != accompaniment || n.way.bass != kept || a.isMade(n) || a.beatStart(n.Onset) != n.Onset || !a.tower.Pedals.Has(key) {
			continue
		}
		inTheWay := func(o *note) bool { return o.key() <= key || roughWith(key, []int{o.key()}) }
		if !a.isLowest(n) || slices.ContainsFunc(a.struckAt(n.Onset), inTheWay) || !a.footFree(n.at, key) {
			continue
		}
		why, was := n.leftOut, n.seat
		n.leftOut, n.role, n.seat = "", bass, feet
		if a.impossibleNear(n) > 0 {
			n.leftOut, n.role, n.seat = why, accompaniment, was
			continue
		}
		found = true
	}
	return found
}

// isLowest tells whether the source strikes nothing lower with n, nor holds it since the
// measure before.
func (a *arrangement) isLowest(n *note) bool {
	for _, o := range a.notesFrom(a.starts[max(0, a.measureAt(n.Onset)-1)]) {
		if n.Onset.Less(o.Onset) {
			break
		}
		if o.Pitch.MIDI() < n.Pitch.MIDI() && (o.Onset == n.Onset || n.Onset.Less(o.End())) {
			return false
		}
	}
	return true
}

// bearing is how long before and after a note, in seconds, strokes bear on whether it can be
// struck: until a foot has gone from one end of the pedals to the other, or a hand from
// one end of the manual.
func (a *arrangement) bearing() float64 {
	manual, pedals := a.tower.Manual, a.tower.Pedals
	longest := max(a.tower.FootTime(pedals.Low(), pedals.High()), a.tower.HandTime(manual.Low(), manual.High()), a.tower.RepeatTime(manual.Low()))
	return longest * ease[a.options.Difficulty].time
}

// impossibleNear counts what cannot be played around a note.
func (a *arrangement) impossibleNear(n *note) (count int) {
	notes := a.struckNear(n.at, a.bearing())
	for _, p := range a.player.Assign(a.strokes(notes)).Problems {
		if p.Reason.Impossible() {
			count++
		}
	}
	return count
}

// played are the notes that are struck in the result, in time order.
func (a *arrangement) played() []*note {
	return a.where((*note).struck)
}

// strokes are notes as the player strikes them, more slowly the easier it is to
// be.
func (a *arrangement) strokes(notes []*note) []playing.Stroke {
	return strokesIn(notes, ease[a.options.Difficulty].time)
}

// strokesIn are notes as they are struck, so many times as fast.
func strokesIn(notes []*note, faster float64) []playing.Stroke {
	strokes := make([]playing.Stroke, len(notes))
	at := times(notes)
	for i, n := range notes {
		strokes[i] = playing.Stroke{At: at[i] / faster, Key: n.key(), Pedal: n.seat == feet, Wants: n.seat.limb()}
	}
	return strokes
}

// times are when notes are struck, grace notes before what they lead to.
func times(notes []*note) []float64 {
	at := make([]float64, 0, len(notes))
	before := math.Inf(-1) // the last onset
	for len(at) < len(notes) {
		main := notes[len(at)]
		var joins []bool
		for i := len(at); i < len(notes) && notes[i].Onset == main.Onset && notes[i].grace(); i++ {
			joins = append(joins, i > 0 && notes[i].joins(notes[i-1]))
		}
		at = append(at, playing.Graces(before, main.at, joins)...)
		for len(at) < len(notes) && notes[len(at)].Onset == main.Onset {
			at = append(at, main.at)
		}
		before = main.at
	}
	return at
}

// limb is the hand of a seat; the feet share their strokes between them.
func (s seat) limb() playing.Limb {
	return [...]playing.Limb{rightHand: playing.RightHand, leftHand: playing.LeftHand, feet: playing.Nobody}[s]
}

// relieve leaves out one note, the least needed, of each problem that has one to
// spare, at most one a moment, and tells which. It is not recorded yet.
func (a *arrangement) relieve(notes []*note, problems []playing.Problem) (spared []*note) {
	last := -1.0
	for _, problem := range problems {
		if !problem.Reason.Impossible() {
			continue
		}
		var spare *note
		for _, i := range problem.Strokes {
			n := notes[i]
			free := n.leftOut == "" && (n.role != tune && n.at != last || n.grace())
			if free && (spare == nil || a.need(n) >= a.need(spare)) {
				spare = n
			}
		}
		why := "cannot be played: " + problem.Reason.String()
		late := problem.Strokes[len(problem.Strokes)-1]
		if spare == nil {
			spare = a.graceNear(notes, late)
		}
		if spare == nil {
			spare, why = a.bassNear(notes, late), "its foot is needed for the melody"
		}
		if spare == nil {
			spare, why = a.freeHand(notes, late, last), "its hand is needed for the melody"
		}
		if spare == nil {
			continue
		}
		if spare.grace() {
			why = "grace note of the melody " + why
		}
		spare.leftOut = why
		spared, last = append(spared, spare), spare.at
	}
	return spared
}

// graceNear is a grace note shortly before a note, which has the limb that the
// note or the one before it would have been for; nil where there is none.
func (a *arrangement) graceNear(notes []*note, i int) *note {
	n := notes[i]
	time := ease[a.options.Difficulty].time * playing.Slow
	for k := i - 1; k >= 0 && n.at-notes[k].at < time; k-- {
		if o := notes[k]; o.grace() && o.leftOut == "" && (o.seat == feet) == (n.seat == feet) {
			return o
		}
	}
	return nil
}

// bassNear is a bass just before or after a note of the melody that the feet play,
// nil where there is none.
func (a *arrangement) bassNear(notes []*note, i int) *note {
	n := notes[i]
	time := 2 * ease[a.options.Difficulty].time * playing.Slow // a foot goes farther than a hand
	if n.seat != feet || n.role != tune {
		return nil
	}
	is := func(o *note) bool { return o.role == bass && o.leftOut == "" }
	for k := i - 1; k >= 0 && n.at-notes[k].at < time; k-- {
		if is(notes[k]) {
			return notes[k]
		}
	}
	for k := i + 1; k < len(notes) && notes[k].at-n.at < time; k++ {
		if is(notes[k]) {
			return notes[k]
		}
	}
	return nil
}

// freeHand is a note of the accompaniment that keeps the hands from a note of
// the melody, nil where none does: one of the other hand just before, with or
// after it, or one of more than the hands can strike there while they move. Of
// several it is the nearest in time, then the one that is needed least.
func (a *arrangement) freeHand(notes []*note, i int, last float64) *note {
	n := notes[i]
	if n.seat == feet || n.at == last {
		return nil
	}
	around := a.manualAround(notes, i)
	atOnce := map[float64]int{}
	for _, o := range around {
		atOnce[o.at]++
	}
	slower := ease[a.options.Difficulty].time
	var free *note
	for _, o := range around {
		apart := math.Abs(n.at - o.at)
		late := o.seat != n.seat && apart < slower*a.figures.hand[o.key()][n.key()]
		crowded := apart < slower*playing.Slow && atOnce[o.at] > 2*a.tower.Player.HandNotes
		if o.role != accompaniment || o.at == last || !late && !crowded {
			continue
		}
		if free == nil || cmp.Or(cmp.Compare(apart, math.Abs(n.at-free.at)), cmp.Compare(a.need(free), a.need(o))) < 0 {
			free = o
		}
	}
	return free
}

// manualAround is what the hands strike within the time around a note in which one
// could come from anywhere.
func (a *arrangement) manualAround(notes []*note, i int) []*note {
	time := 2 * ease[a.options.Difficulty].time * playing.Slow
	from, to := i, i
	for from > 0 && notes[i].at-notes[from-1].at < time {
		from--
	}
	for to < len(notes) && notes[to].at-notes[i].at < time {
		to++
	}
	return slices.DeleteFunc(slices.Clone(notes[from:to]), func(n *note) bool { return n.seat == feet || n.leftOut != "" })
}

// need orders notes by how soon they may go, as thinning does; a grace note
// goes first, a bass last.
func (a *arrangement) need(n *note) degreeRank {
	switch {
	case n.grace():
		return doubled + 1
	case n.role == bass:
		return -1
	}
	return rankIn(n.Pitch.Class(), a.chordAt(n.Onset).Chord)
}

// toHands gives every note on the manual to the hand that can strike it, as long
// as no hand reaches over more than a fourth, and the accompaniment does not
// come into the hand in which the melody sounds. The melody is written in one
// line, whichever hand helps.
func (a *arrangement) toHands(notes []*note, limbs []playing.Limb) {
	melody := a.melodyRanges()
	for i := 0; i < len(notes); {
		first := i
		for i < len(notes) && notes[i].Onset == notes[first].Onset && notes[i].grace() == notes[first].grace() {
			i++
		}
		r, sings := melody[notes[first].Onset]
		var low, high [feet]int
		fits := true
		hands := make([]seat, i-first)
		for k, n := range notes[first:i] {
			if hands[k] = n.seat; n.seat == feet {
				continue
			}
			hands[k] = handOf(limbs[first+k])
			fits = fits && !(n.role == accompaniment && sings && r.seat == hands[k])
			if h := hands[k]; low[h] == 0 || n.key() < low[h] {
				low[h] = n.key()
			}
			high[hands[k]] = max(high[hands[k]], n.key())
		}
		if !fits || high[leftHand]-low[leftHand] > fourth || high[rightHand]-low[rightHand] > fourth {
			continue
		}
		for k, n := range notes[first:i] {
			n.seat = hands[k]
		}
	}
}

func handOf(limb playing.Limb) seat {
	if limb == playing.LeftHand {
		return leftHand
	}
	return rightHand
}

// tellHard reports what of the melody cannot be played as it stands, once a measure, and
// where it asks for more than the difficulty does, since the melody stays.
func (a *arrangement) tellHard(notes []*note, problems []playing.Problem) {
	hard := impossible(problems)
	if ease[a.options.Difficulty].time > 1 && len(hard) > 0 {
		beyond := len(hard)
		first := notes[hard[0].Strokes[len(hard[0].Strokes)-1]]
		hard = impossible(a.player.Assign(strokesIn(notes, 1)).Problems)
		if beyond -= len(hard); beyond > 0 {
			a.finding(first, "the melody stays as it is, though it comes sooner than difficulty %d asks for: %s from here on", a.options.Difficulty, score.Count(beyond, "stroke"))
		}
	}
	told := map[int]bool{}
	for _, p := range hard {
		n := notes[p.Strokes[len(p.Strokes)-1]]
		if m := a.measureAt(n.Onset); !told[m] {
			told[m] = true
			a.finding(n, "the %s cannot be played as it stands, by the %s: %s (%.2f, the limit is %.2f)", n.does(), n.seat, p.Reason, p.Value, p.Limit)
		}
	}
}

// impossible are the problems that no player can solve; Assign has them in time order.
func impossible(problems []playing.Problem) []playing.Problem {
	return slices.DeleteFunc(slices.Clone(problems), func(p playing.Problem) bool { return !p.Reason.Impossible() })
}
