package voicing

import (
	"slices"

	"undersong/score"
	"undersong/voicing/ringing"
)

// unblur thins the accompaniment in measures that what still rings would make
// muddy: at the strike that beats most with it, the note that is needed least is
// left out, until the measure is clear. Where it does not become clear, all stays. A
// beat keeps its strike, and third and seventh of the chord stay, but for those that
// are struck twice in a beat.
//
// Nothing damps a bell, so rapid changes of harmony blur (Rensselaer, "Suggestions
// for Composing for Carillon"); fewer strokes are the remedy that costs no line its
// shape. How loud all will be is not known yet: all but the melody counts as a mark
// softer than that.
type unblur struct{}

// Name is "unblur".
func (unblur) Name() string { return "unblur" }

// Apply implements [pass].
func (p unblur) Apply(a *arrangement) {
	bells, past := ringing.Of(a.tower), ringing.Past(nil)
	all := together(a.struck())
	for from := 0; from < len(all); {
		measure, to := a.measureAt(all[from][0].Onset), from+1
		for to < len(all) && a.measureAt(all[to][0].Onset) == measure {
			to++
		}
		then, beats := p.strike(a, bells, past, all[from:to])
		if middle(beats) > ringing.Muddy {
			if thinned, spared := p.thin(a, bells, past, all[from:to]); thinned != nil {
				for _, n := range spared {
					a.leaveOut(n, "would blur with what still rings")
				}
				then = thinned
			}
		}
		past = then
		from = to
	}
}

// thin is what rings after a measure that is thinned until it is clear, and the
// notes that this takes; nil where it does not become clear.
func (p unblur) thin(a *arrangement, bells *ringing.Bells, past ringing.Past, strikes [][]*note) (then ringing.Past, spared []*note) {
	for {
		then, beats := p.strike(a, bells, past, strikes)
		if middle(slices.Clone(beats)) <= ringing.Muddy {
			return then, spared
		}
		spare := p.spare(a, strikes, beats)
		if spare == nil {
			return nil, nil
		}
		spared = append(spared, spare)
		var rest [][]*note
		for _, strike := range strikes {
			if strike = slices.DeleteFunc(slices.Clone(strike), func(n *note) bool { return n == spare }); len(strike) > 0 {
				rest = append(rest, strike)
			}
		}
		strikes = rest
	}
}

// strike is what rings after strikes, one after the other, and how strongly what
// rang beats against each.
func (unblur) strike(a *arrangement, bells *ringing.Bells, past ringing.Past, strikes [][]*note) (then ringing.Past, beats []float64) {
	beats = make([]float64, len(strikes))
	for i, strike := range strikes {
		var struck []ringing.Stroke
		for _, n := range strike {
			s := ringing.Stroke{Key: n.key(), At: strike[0].at, Gain: a.figures.level[n.key()]}
			if n.role != tune {
				s.Gain -= a.tower.Dynamics
			}
			if !slices.ContainsFunc(struck, func(o ringing.Stroke) bool { return o.Key == s.Key }) {
				struck = append(struck, s)
			}
		}
		past, beats[i], _ = bells.Strike(past, struck)
	}
	return past, beats
}

// spare is the note to leave out, nil of none: of the strike with the strongest
// beats that has one to spare the one that is needed least.
func (unblur) spare(a *arrangement, strikes [][]*note, beats []float64) *note {
	var spare *note
	worst := ringing.Muddy
	for i, strike := range strikes {
		if beats[i] <= worst {
			continue
		}
		from, to := a.beatAround(strike[0].Onset)
		var least *note
		for _, n := range strike {
			class := n.Pitch.Class()
			needed := rankIn(class, a.chordAt(n.Onset).Chord) <= seventh && !struckIn(strikes, class, from, to, n)
			if n.role == accompaniment && !needed && (least == nil || a.need(n) >= a.need(least)) {
				least = n
			}
		}
		if least != nil && (len(strike) > 1 || from != least.Onset) {
			spare, worst = least, beats[i]
		}
	}
	return spare
}

// struckIn tells whether a pitch class is struck between two moments by another
// note.
func struckIn(strikes [][]*note, class int, from, to score.Time, but *note) bool {
	for _, strike := range strikes {
		for _, n := range strike {
			if n != but && n.Pitch.Class() == class && !n.Onset.Less(from) && n.Onset.Less(to) {
				return true
			}
		}
	}
	return false
}
