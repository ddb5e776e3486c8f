package voicing

import (
	"fmt"
	"strings"

	"undersong/score"
)

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
		switch at, ok := a.nearest(stretch, to); {
		case !ok:
			e.at = a.lacking(stretch, at)
			e.why = fmt.Sprintf("no octave of the %s has all of it: %s there is no %s",
				to.seat.keyboard(), octavesAway(at.octaves), e.at.Pitch.Octaves(at.octaves))
		case a.gain([][]*note{stretch}, at).cost() > 0:
			e.why = fmt.Sprintf("%s in the %s %s", octavesAway(at.octaves), at.seat.keyboard(), a.minding([][]*note{stretch}, at))
		default:
			stays := place{to.seat, stretch[0].octaves}
			if n := a.lacking(stretch, stays); n != nil {
				e.at, e.why = n, fmt.Sprintf("%s, and %s %s", a.lacks(n, stays), octavesAway(at.octaves), besideIt)
			}
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
	gain := a.gain(run, to)
	late, byHand := 0, 0
	for _, stretch := range run {
		t := a.try(stretch, to)
		late, byHand = late+len(t.late), byHand+len(t.helped)
	}
	switch most := gain.most(); {
	case gain.cost() <= 0:
		return besideIt
	case most == stumble:
		return score.Count(late, "stroke") + " of it would come too soon"
	case most == helped:
		return "a hand would have to strike " + score.Count(byHand, "note") + " of it"
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
