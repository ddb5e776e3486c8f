package voicing

import (
	"cmp"
	"fmt"
	"strings"

	"undersong/score"
)

// tellPlaces reports what a person should know of the place of these stretches.
func (a *arrangement) tellPlaces(stretches [][]*note) {
	a.tellBreaks(stretches)
	a.tellSeats(stretches)
	a.tellOctaves(stretches)
}

// tellOctaves reports where the melody could not go to the octave that a person
// has asked for.
func (a *arrangement) tellOctaves(stretches [][]*note) {
	for i, stretch := range stretches {
		n := stretch[0]
		if !n.way.octaveAsked || n.octaves == n.way.melodyWant || i > 0 && stretches[i-1][0].way == n.way && stretches[i-1][0].octaves == n.octaves {
			continue
		}
		a.finding(n, "the %s is %s and not into the octave that is asked for: %s", n.does(), movedBy(n.octaves), a.whyNot(stretches[i:], place{n.sits(), n.way.melodyWant}))
	}
}

// tellSeats reports how much of a tune is not in the pedals where its voicing wants it, how
// much lies higher than written, and how much lower where it should stay, and why the first
// of it does.
func (a *arrangement) tellSeats(stretches [][]*note) {
	t := telling{a, stretches, a.phraseNumbers(stretches), a.misplaced(stretches)}
	t.tellPhrases(func(w *way) bool { return w.melody[0] == feet }, func(n *note) bool { return n.sits() != feet },
		"goes to the left hand and not into the pedals", "go to the left hand and not into the pedals")
	t.tellPhrases(func(w *way) bool { return !w.octaveAsked }, func(n *note) bool { return n.sits() == n.way.melody[0] && n.octaves > 0 },
		"lies higher than written, on lighter bells", "lie higher than written, on lighter bells")
	t.tellPhrases(func(w *way) bool { return w.melodyWant == 0 && !w.octaveAsked && !w.alone }, func(n *note) bool { return n.sits() == n.way.melody[0] && n.octaves < 0 },
		"lies lower than written, with less room for the accompaniment", "lie lower than written, with less room for the accompaniment")
}

// phraseNumbers number the phrases that stretches are of, by the first note of each stretch.
func (a *arrangement) phraseNumbers(stretches [][]*note) map[*note]int {
	ends, phrase, number := a.phraseEnds(), map[*note]int{}, 0
	for i, stretch := range stretches {
		if i > 0 && ends[stretches[i-1][len(stretches[i-1])-1]] {
			number++
		}
		phrase[stretch[0]] = number
	}
	return phrase
}

// telling is what is told of stretches of a tune that are not where their voicings want them.
type telling struct {
	*arrangement
	stretches [][]*note
	phrase    map[*note]int // of each stretch, by its first note
	all       []misplaced
}

// tellPhrases reports how many phrases of those that are voiced in some ways are elsewhere so that
// something holds: what one of them does, what several do.
func (t *telling) tellPhrases(of func(*way) bool, is func(*note) bool, one, several string) {
	wanted, told := map[int]bool{}, map[int]bool{}
	for _, stretch := range t.stretches {
		if n := stretch[0]; of(n.way) {
			wanted[t.phrase[n]] = true
		}
	}
	var first *misplaced
	for i, e := range t.all {
		if n := e.notes[0]; of(n.way) && is(n) {
			told[t.phrase[n]] = true
			first = cmp.Or(first, &t.all[i])
		}
	}
	if first == nil {
		return
	}
	phrases, verb := score.Count(len(wanted), "phrase"), several
	if first.notes[0].interlude {
		phrases += " of the interlude"
	}
	if len(told) == 1 {
		verb = one
	}
	t.finding(first.notes[0], "%d of %s %s: %s", len(told), phrases, verb, first.why)
}

// fewHelped is how many strokes of the left hand for the feet are told one by one.
const fewHelped = 2

// tellHelp reports the strokes that a hand takes over from the feet: many in one line,
// with their measures.
func (a *arrangement) tellHelp() {
	var helped []*note
	for _, n := range a.with(tune) {
		if n.helped {
			helped = append(helped, n)
		}
	}
	if len(helped) > fewHelped {
		var in []int
		for _, n := range helped {
			in = append(in, a.measureAt(n.Onset))
		}
		a.finding(helped[0], "the left hand strikes %d notes of the %s, on the manual and with an accent: no foot can be there in time; %s", len(helped), helped[0].does(), a.measureList(in))
		return
	}
	for _, n := range helped {
		a.finding(n, "the left hand strikes %s of the %s, on the manual and with an accent: no foot can be there in time", n.placed(), n.does())
	}
}

// tellBreaks reports where the melody changes its octave inside a phrase, and
// the first key for want of which it could not go on, or could not begin, in
// the other one.
func (a *arrangement) tellBreaks(stretches [][]*note) {
	ends := a.phraseEnds()
	for i := 1; i < len(stretches); i++ {
		before, after := stretches[i-1], stretches[i]
		last, first := before[len(before)-1], after[0]
		if ends[last] && last.way == first.way && last.octaves != first.octaves {
			a.finding(first, "the %s is %s from here on and %s before: %s", first.does(), movedBy(first.octaves), movedBy(last.octaves), a.whyNot(stretches[i:], place{first.sits(), last.octaves}))
		}
		if ends[last] || last.way != first.way || last.octaves == first.octaves && last.sits() == first.sits() {
			continue // or it is told that the voicing changes
		}
		why := ""
		if n := a.lacking(after, placeOf(before)); n != nil {
			why = ": " + a.lacks(n, placeOf(before))
		} else if n := a.lacking(before, placeOf(after)); n != nil {
			why = ": " + a.lacks(n, placeOf(after))
		}
		a.finding(first, "the %s changes its octave inside a phrase%s", first.does(), why)
	}
}

// whyNot says why the first of these stretches is not at another place: a key that is
// not there, or what all that are placed like it would have minded most.
func (a *arrangement) whyNot(stretches [][]*note, other place) string {
	run := alike(stretches, true)
	for _, stretch := range run {
		if n := a.lacking(stretch, other); n != nil {
			return a.lacks(n, other)
		}
	}
	return a.minding(run, other)
}

// placeOf is where a stretch is.
func placeOf(stretch []*note) place { return place{stretch[0].sits(), stretch[0].octaves} }

// misplaced is a stretch of the melody that is not where its voicing wants it, and why.
type misplaced struct {
	notes []*note
	at    *note // the note that it lies with
	why   string
}

// misplaced are all of them, once they are seated.
func (a *arrangement) misplaced(stretches [][]*note) (all []misplaced) {
	for i := 0; i < len(stretches); {
		n := stretches[i][0]
		to := place{n.way.melody[0], n.way.melodyWant}
		run := alike(stretches[i:], n.sits() == to.seat)
		i += len(run)
		switch {
		case n.sits() != to.seat:
			all = append(all, a.whyOtherSeat(run, to)...)
		case n.octaves != to.octaves:
			if n.octaves > 0 && to.octaves < 0 {
				to.octaves = 0 // that it goes up is the news, not that it cannot go down
			}
			all = append(all, a.whyOtherOctave(run, to)...)
		}
	}
	return all
}

// alike are the first of some stretches, as long as all are voiced alike and have one seat, and
// where that counts one octave.
func alike(stretches [][]*note, octave bool) [][]*note {
	first := stretches[0][0]
	for i, stretch := range stretches {
		if n := stretch[0]; n.way != first.way || n.sits() != first.sits() || octave && n.octaves != first.octaves {
			return stretches[:i]
		}
	}
	return stretches
}

// whyOtherOctave says why the stretches of a run are not in an octave: for want of a key, of their
// own or of one that they stay with, else for what they would have minded most.
func (a *arrangement) whyOtherOctave(run [][]*note, to place) (all []misplaced) {
	var first *note // that has no key
	for _, stretch := range run {
		n := a.lacking(stretch, to)
		if first == nil {
			first = n
		}
		all = append(all, misplaced{notes: stretch, at: n})
	}
	for i := range all {
		switch e := &all[i]; {
		case first == nil:
			e.at, e.why = run[0][0], octavesAway(to.octaves)+" "+a.minding(run, to)
		case e.at == nil:
			e.at, e.why = first, a.lacks(first, to)+forBeside
		default:
			e.why = a.lacks(e.at, to)
		}
	}
	return all
}

// whyOtherSeat says why the stretches of a run are not in a seat: no octave of its keyboard has all the
// keys, or they would have minded the nearest that has; else the one in which it is has not, and
// it stays with others there, or with others in that seat.
func (a *arrangement) whyOtherSeat(run [][]*note, to place) (all []misplaced) {
	var first misplaced
	for _, stretch := range run {
		e := misplaced{notes: stretch, at: stretch[0]}
		stays := place{to.seat, stretch[0].octaves}
		if at, ok := a.nearest(stretch, to); !ok {
			e.at = a.lacking(stretch, at)
			e.why = fmt.Sprintf("no octave of the %s has all of it: %s there is no %s",
				to.seat.keyboard(), octavesAway(at.octaves), e.at.Pitch.Octaves(at.octaves))
		} else if why := a.minding([][]*note{stretch}, at); why != besideIt {
			e.why = fmt.Sprintf("%s in the %s %s", octavesAway(at.octaves), at.seat.keyboard(), why)
		} else if n := a.lacking(stretch, stays); n != nil {
			e.at, e.why = n, fmt.Sprintf("%s, and %s %s", a.lacks(n, stays), octavesAway(at.octaves), besideIt)
		}
		if first.why == "" && !strings.HasSuffix(e.why, besideIt) {
			first = e
		}
		all = append(all, e)
	}
	for i := range all {
		switch e := &all[i]; {
		case e.why == "" && first.why == "":
			e.why = besideIt
		case e.why == "":
			e.at, e.why = first.at, first.why+forBeside
		}
	}
	return all
}

// nearest is the place in a seat that lacks the fewest keys, of these the nearest to another
// place there, and whether it has all.
func (a *arrangement) nearest(stretch []*note, to place) (best place, all bool) {
	fewest := len(stretch) + 1
	for off := range farthest + 1 {
		for _, octaves := range []int{to.octaves - off, to.octaves + off} {
			at := place{to.seat, octaves}
			lacking := 0
			for _, n := range stretch {
				if !a.has(n, at) {
					lacking++
				}
			}
			if lacking < fewest {
				best, fewest = at, lacking
			}
		}
	}
	return best, fewest == 0
}

// Why a stretch is where it is that would mind another place less, and what is said of
// that which it stays with.
const (
	besideIt  = "a phrase beside it would be in another octave"
	forBeside = ", and a phrase beside it stays with it"
)

// minding is what a run of stretches would have minded most about another place.
func (a *arrangement) minding(run [][]*note, to place) string {
	gain, there := a.gain(run, to)
	switch most := gain.most(); {
	case gain.cost() <= 0:
		return besideIt
	case most == stumble:
		return score.Count(len(there.late), "stroke") + " of it would come too soon"
	case most == helped:
		return "a hand would have to strike " + score.Count(len(there.helped), "note") + " of it"
	default:
		return minded[most].stay
	}
}

// lacking is the first note that has no key at a place.
func (a *arrangement) lacking(notes []*note, at place) *note {
	for _, n := range notes {
		if !a.has(n, at) {
			return n
		}
	}
	return nil
}

// has tells whether a note has a key at a place.
func (a *arrangement) has(n *note, at place) bool {
	return a.keys(at.seat).Has(n.Pitch.MIDI() + 12*at.octaves)
}

// lacks says so of it.
func (a *arrangement) lacks(n *note, at place) string {
	return fmt.Sprintf("%s the %s have no %s", octavesAway(at.octaves), at.seat.keyboard(), n.Pitch.Octaves(at.octaves))
}

// octavesAway words a move by octaves.
func octavesAway(octaves int) string {
	switch {
	case octaves == 0:
		return "as written"
	case octaves == -1:
		return "an octave down"
	case octaves == 1:
		return "an octave up"
	case octaves < 0:
		return fmt.Sprintf("%d octaves down", -octaves)
	}
	return fmt.Sprintf("%d octaves up", octaves)
}

// movedBy words a move by octaves.
func movedBy(octaves int) string {
	if octaves == 0 {
		return "not moved"
	}
	return "moved " + octavesAway(octaves)
}
