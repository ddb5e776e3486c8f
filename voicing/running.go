package voicing

import (
	"slices"

	"undersong/score"
	"undersong/voicing/harmony"
)

const (
	// leastRunning and mostRunning are how many strokes a running figure has in a beat:
	// of two there is no second one to leave out evenly, and more than sixteen are no
	// figure but a flourish.
	leastRunning = 3
	mostRunning  = 16
	// mostStride is one of how many notes stays at least.
	mostStride = 3
)

// What leaving out costs beside what a tone is in its chord, by lostCost. The project's
// own figures: every second note stays rather than every third, and an even pace is worth
// more than a fifth, but less than a third.
const (
	runGoneCost = 1.0 // each note that goes
	runWideCost = 1.0 // each step of three notes
	runLimpCost = 2.5 // each time that the notes that stay get farther apart or closer
	runToldCost = 1.0 // a note that the melody strikes next
)

// thinRunning thins a running figure of single notes that the free hands cannot
// strike as quickly as the source does: of the figure in a beat every second note stays,
// or every third where the chord needs it, so that it goes on evenly. Left to the costs
// of single strikes it would limp: they know what a note is in its chord, but not where
// it is in a figure.
func (a *arrangement) thinRunning() {
	melody := a.melodyRanges()
	strikes := together(a.with(accompaniment))
	var before pace
	for from := 0; from < len(strikes); {
		beat, end := a.beatAround(strikes[from][0].Onset)
		to := from + 1
		for to < len(strikes) && strikes[to][0].Onset.Less(end) {
			to++
		}
		now := pace{}
		if r, runs := a.running(strikes[from:to], beat, melody); runs {
			now = r.thin(before.from(a, beat))
		}
		from, before = to, now
	}
}

// pace is how a figure goes: when its last stroke was, and how long after the one before;
// no time where it has just begun. The zero pace is that of no figure.
type pace struct {
	runs        bool
	last, apart score.Time
}

// from is the pace at which a figure comes to a beat: a bass there is its first note, though
// it may not be struck again.
func (p pace) from(a *arrangement, beat score.Time) pace {
	for _, n := range a.notesFrom(beat) {
		if n.Onset != beat {
			break
		}
		there := n.role == bass || n.leftOut == ringsStill
		if there && (!p.runs || p.last.Less(beat)) {
			return pace{runs: true, last: beat, apart: p.apart}
		}
	}
	return p
}

// thin leaves out what is too quick of a figure and tells how it goes then.
func (r *running) thin(before pace) pace {
	stay := r.even(before)
	_, now := r.limps(stay, before)
	thinned := len(stay) < len(r.notes)
	for i, n := range r.notes {
		if len(stay) == 0 || i != stay[0] {
			r.leaveOut(n, [...]string{1: "too quick for one hand", 2: "too quick for two hands"}[r.hands])
			continue
		}
		n.even, stay = thinned || r.moves(), stay[1:]
	}
	return now
}

// running is the figure of one beat.
type running struct {
	*arrangement
	notes   []*note
	hands   int             // that are free for it
	keys    [][]int         // by index: where this tone may lie
	step    score.Time      // from note to note
	told    []bool          // by index: the melody has this tone in the next step
	classes harmony.Classes // that melody and bass have in the beat
}

// running finds the figure in the strikes of a beat: single notes, evenly apart.
func (a *arrangement) running(strikes [][]*note, beat score.Time, melody map[score.Time]keyRange) (r *running, runs bool) {
	if len(strikes) < leastRunning || len(strikes) > mostRunning {
		return r, false
	}
	r = &running{arrangement: a, hands: 2, step: strikes[1][0].Onset.Sub(strikes[0][0].Onset)}
	for i, strike := range strikes {
		n := strike[0]
		if len(strike) > 1 || i > 0 && n.Onset.Sub(r.notes[i-1].Onset) != r.step {
			return r, false
		}
		sung, sings := melody[n.Onset]
		if sings && sung.seat != feet {
			r.hands = 1
		}
		r.notes, r.keys = append(r.notes, n), append(r.keys, a.keysFor(n, sung, sings))
		r.told = append(r.told, slices.ContainsFunc(a.struckAt(n.Onset.Add(r.step)), func(o *note) bool {
			return o.role == tune && o.Pitch.Class() == n.Pitch.Class()
		}))
	}
	for at := beat; !r.notes[len(r.notes)-1].Onset.Less(at); at = at.Add(r.step) {
		for _, n := range a.struckAt(at) {
			if n.role != accompaniment {
				r.classes = r.classes.With(n.Pitch.Class())
			}
		}
	}
	return r, true
}

// keysFor are the keys on which the hands may strike a tone of the accompaniment while a
// range of the melody sounds, if any of it does.
func (a *arrangement) keysFor(n *note, melody keyRange, sings bool) (keys []int) {
	r := a.roomBeside(n.way, melody, sings)
	class, rank := n.Pitch.Class(), rankIn(n.Pitch.Class(), a.chordAt(n.Onset).Chord)
	for key := range a.tower.Manual.Keys() {
		if key%12 == class && key >= r.lowFor(rank) && key <= r.high {
			keys = append(keys, key)
		}
	}
	return keys
}

// moves tells whether the figure is the source's and more than one note again and again:
// such, and what is made of a chord symbol, may be struck fewer times.
func (r *running) moves() bool {
	return slices.ContainsFunc(r.notes, func(n *note) bool { return n.Pitch.MIDI() != r.notes[0].Pitch.MIDI() && !r.isMade(n) })
}

// even are the notes to keep, by index: all where they are slow enough, else the
// cheapest of all ways to go on by two or three. before is the beat before.
func (r *running) even(before pace) (best []int) {
	for i := range r.notes {
		best = append(best, i)
	}
	least := r.cost(best, before)
	var tryFrom func(stay []int)
	tryFrom = func(stay []int) {
		end := stay[len(stay)-1]
		for next := end + 2; next <= end+mostStride && next < len(r.notes); next++ {
			tryFrom(append(stay, next))
		}
		if end+2 < len(r.notes) {
			return
		}
		if cost := r.cost(stay, before); cost < least {
			best, least = slices.Clone(stay), cost
		}
	}
	for first := range mostStride {
		tryFrom(append(make([]int, 0, mostRunning), first))
	}
	return best
}

// cost is what it costs to keep these notes only.
func (r *running) cost(stay []int, before pace) (cost float64) {
	for k := r.hands; k < len(stay); k++ {
		if r.tooQuick(stay[k-r.hands], stay[k]) {
			cost += gripSoonCost
		}
	}
	if len(stay) == len(r.notes) {
		return cost
	}
	for k, i := range stay {
		if r.told[i] {
			cost += runToldCost
		}
		if k > 0 && i-stay[k-1] == mostStride {
			cost += runWideCost
		}
	}
	limps, _ := r.limps(stay, before)
	return cost + r.lost(stay) + runLimpCost*float64(limps)
}

// limps counts how often these notes get farther apart or closer, on from the beat
// before where the figure goes on from that, and tells how they go in the end.
func (r *running) limps(stay []int, before pace) (n int, end pace) {
	end = before
	for _, i := range stay {
		now := pace{runs: true, last: r.notes[i].Onset}
		if end.runs {
			now.apart = now.last.Sub(end.last)
		}
		if end.apart != (score.Time{}) && end.apart != now.apart {
			n++
		}
		end = now
	}
	return n, end
}

// lost is the cost of what is left out. A tone that the beat has elsewhere is missed less.
func (r *running) lost(stay []int) float64 {
	had := r.classes
	for _, i := range stay {
		had = had.With(r.notes[i].Pitch.Class())
	}
	cost := runGoneCost * float64(len(r.notes)-len(stay))
	for _, n := range r.notes {
		if class := n.Pitch.Class(); !had.Has(class) {
			cost += lostCost[rankIn(class, r.chordAt(n.Onset).Chord)]
			had = had.With(class)
		}
	}
	return cost
}

// tooQuick tells whether a hand is late from one note to another even if they lie as
// close together as they may. Two hands that take turns keep the figure's shape.
func (r *running) tooQuick(from, to int) bool {
	time := (r.notes[to].at - r.notes[from].at) / ease[r.options.Difficulty].time
	source := r.notes[to].Pitch.MIDI() - r.notes[from].Pitch.MIDI()
	any := false
	for _, f := range r.keys[from] {
		for _, t := range r.keys[to] {
			if r.hands == 2 && t-f != source {
				continue
			}
			any = true
			if time >= r.figures.hand[f][t] {
				return false
			}
		}
	}
	return any
}
