package voicing

import "undersong/voicing/playing"

// The reasons for which the melody minds a place.
const (
	offOctave = iota
	otherSeat
	stumble
	helped
	noRoom
	ringsOn
	faint
	lowForHand
	reasons
)

// minded is what each reason costs, and what a finding says would be so if the
// melody stayed in its octave; minding counts what comes too soon or needs a hand.
// The figures are the project's own; what matters is their order.
var minded = [reasons]struct {
	cost float64
	stay string
}{
	offOctave:  {1.0, "it would not be where this voicing wants it"}, // each octave away
	otherSeat:  {2.5, "it would not be where this voicing wants it"}, // a seat that is not the wanted one
	stumble:    {120, ""},                                            // a stroke that comes sooner than the limb can, by the part that it lacks of the time
	helped:     {8, ""},                                              // a stroke that a hand has to take over from the feet
	noRoom:     {0.5, "the accompaniment would lack room"},           // each semitone that it lacks above or below
	ringsOn:    {0.4, "too much of it would ring at once"},           // each note beyond crowd that still rings
	faint:      {0.5, "its bells would be faint"},                    // each octave above the keys that carry a melody
	lowForHand: {0.25, "it would lie low for a hand"},                // each semitone under the keys for the hands
}

// anyLate is as what part of its time a stroke counts that comes too soon, however
// little. The project's own figure.
const anyLate = 0.15

// mostHelped is how many strokes of a phrase in the pedals a hand may take over: with
// more of them it is no longer the feet that have the line. The project's own figure.
const mostHelped = 2

// askedFor is by how much more each octave away counts where a person has asked for
// one.
const askedFor = 5

const (
	// room is what the accompaniment wants above or below the melody, in
	// semitones: a twelfth for hands that play chords, a tenth for one that plays
	// broken ones. A tune that lies too low for that goes up, where the bells blur
	// less: over the shared scores, plain, the tenth left 53 muddy measures, an octave
	// 64.
	roomAbove, roomBelow = 19, 16
	// roomForPedals is what a melody in the left hand leaves from the lowest pedal on, in
	// semitones, for those that are struck under it: a sixth, since they keep a fourth away.
	// Over 70 shared scores and pieces for piano on 47 bells so many are struck as 711 for
	// 591 without, and 62 measures blur for 94.
	roomForPedals = 9
	// crowd is how many notes of the melody may still ring, 20 dB weaker or
	// less, before they count as a blur.
	crowd = 8
	// carries is the highest key that carries a melody over bass notes: the
	// top octave of a big instrument does not (common practice, no source).
	carries = 84
)

// The lowest keys for the hands. Manual writing rarely ventures below middle
// C: heavier clappers are better moved by the foot (J. Gouwens, "Playing the
// Carillon", App. B). Under a melody in the hands there is often no room
// above it, so there a fifth more is allowed; that fifth is the project's own
// figure.
const (
	handsLow      = 60
	handsUnderLow = 53
)

// counts are how often a stretch of the melody minds a place, by reason.
type counts [reasons]float64

// cost is what they cost together.
func (c counts) cost() float64 {
	sum := 0.0
	for reason, often := range c {
		sum += minded[reason].cost * often
	}
	return sum
}

// trouble is what they cost at a place but for comforts, which no other key is worth. To the
// hands an octave is a comfort, too, and so is room for the accompaniment, but only half of
// what it lacks because the tune lies lower than it should: the project's own figure.
func (c counts) trouble(w *way, at place) float64 {
	t := counts{otherSeat: c[otherSeat], stumble: c[stumble], helped: c[helped]}
	switch {
	case w.melody[0] == feet:
		t[offOctave] = c[offOctave]
	case at.octaves < w.melodyWant:
		t[noRoom] = c[noRoom] / 2
	}
	return t.cost()
}

// most is the reason that costs most.
func (c counts) most() int {
	most := 0
	for reason, often := range c {
		if minded[reason].cost*often > minded[most].cost*c[most] {
			most = reason
		}
	}
	return most
}

// minds counts what a stretch of the melody minds about a place, but for how it is
// played there.
func (a *arrangement) minds(stretch []*note, at place) counts {
	w := stretch[0].way
	var c counts
	for i, n := range stretch {
		if n.grace() {
			continue
		}
		key := n.Pitch.MIDI() + 12*at.octaves
		off := float64(abs(at.octaves - w.melodyWant))
		if w.octaveAsked {
			off *= askedFor
		}
		c[offOctave] += off
		if at.seat != w.melody[0] {
			c[otherSeat]++
		}
		if w.above {
			c[noRoom] += float64(max(0, roomAbove-(a.tower.Manual.High()-max(key, handsLow))))
		} else {
			c[noRoom] += float64(max(0, roomBelow-(key-handsUnderLow)))
		}
		if w.bass == light && at.octaves < 0 { // a tune that is low in itself stays
			c[noRoom] += float64(max(0, roomForPedals-(key-a.tower.Pedals.Low())))
		}
		c[faint] += float64(max(0, key-carries)) / 12
		if at.seat != feet {
			c[lowForHand] += float64(max(0, handsLow-key))
		}
		if i > 0 {
			c[ringsOn] += max(0, a.ringing(key, n.at-stretch[i-1].at)-crowd)
		}
	}
	return c
}

// ringing is how many strokes of bells like that of key, so many seconds
// apart, ring at once, those 20 dB weaker than the last not counted.
func (a *arrangement) ringing(key int, apart float64) float64 {
	if apart <= 0 {
		return 0
	}
	return a.figures.heard[key] / apart
}

// trial is how a stretch of the melody is played at a place.
type trial struct {
	helped []*note // strokes that a hand takes over from the feet
	late   []*note // strokes that come too soon even so
	short  float64 // each by the part that it lacks of its time, and anyLate, together
	slow   bool    // none does in the slowest tempo that may be assumed, but one in the usual one
}

// mindsAll is the same with how it is played there.
func (a *arrangement) mindsAll(stretch []*note, at weighed) counts {
	c := a.minds(stretch, at.place)
	c[stumble], c[helped] = at.short, float64(len(at.helped))
	return c
}

// try lets a seat play a stretch: the feet in turns, with a hand's help, or a hand with
// the other one's; more slowly where that helps and the tempo is only assumed. It is
// held to the player's limits however easy the accompaniment is to be: that does not
// move the melody. For an interlude nothing becomes slower.
func (a *arrangement) try(stretch []*note, at place) trial {
	t := a.tryAt(stretch, at, 1)
	if len(t.late) > 0 && a.tempoIsOpen() && !stretch[0].interlude {
		slowest, usual, _ := a.tempi()
		if slow := a.tryAt(stretch, at, slowest/usual); len(slow.late) == 0 {
			slow.slow = true
			return slow
		}
	}
	return t
}

// tryAt does so in a part of the tempo.
func (a *arrangement) tryAt(stretch []*note, at place, tempo float64) trial {
	var notes []*note
	strokes := make([]playing.Stroke, 0, len(stretch))
	for _, n := range stretch {
		if !n.grace() {
			notes = append(notes, n)
			strokes = append(strokes, playing.Stroke{At: n.at / tempo, Key: n.Pitch.MIDI() + 12*at.octaves, Pedal: at.seat == feet})
		}
	}
	byHand, left := a.player.Helped(strokes, mostHelped)
	var t trial
	for _, i := range byHand {
		t.helped = append(t.helped, notes[i])
	}
	for _, p := range left {
		t.late = append(t.late, notes[p.Strokes[len(p.Strokes)-1]])
		t.short += anyLate + p.Short()
	}
	return t
}

// gain is how much more often stretches that are placed alike would mind another place, and
// how they would be played there.
func (a *arrangement) gain(stretches [][]*note, other place) (gain counts, there trial) {
	at := placeOf(stretches[0])
	for _, stretch := range stretches {
		t := a.try(stretch, other)
		there.helped, there.late = append(there.helped, t.helped...), append(there.late, t.late...)
		stays := a.mindsAll(stretch, weighed{place: other, trial: t})
		goes := a.mindsAll(stretch, weighed{place: at, trial: a.try(stretch, at)})
		for reason := range gain {
			gain[reason] += stays[reason] - goes[reason]
		}
	}
	return gain, there
}
