package voicing

import (
	"cmp"
	"math"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/harmony"
)

// The guides of a moment are the third and the seventh of its chord, if the beat has not
// had them yet. They stay longest ("Arranging for Carillon", lesson "Harmony"): they come
// before all else, the bass gives way to them, and a foot takes what the hands cannot.

// struckBefore is what has been struck of a beat so far.
type struckBefore struct {
	beat    score.Time
	classes harmony.Classes
	others  []*note // melody and bass of the piece, from here on
}

// order puts a third or seventh that the beat has not had yet before one that
// it has, so that a chord too full to be struck at once is spread over the
// beat ("Arranging for Carillon", lesson "Harmony").
func (h *struckBefore) order(m *moment, beat score.Time) {
	if h.beat != beat {
		h.beat, h.classes = beat, 0
	}
	for len(h.others) > 0 && !m.onset.Less(h.others[0].Onset) {
		if o := h.others[0]; !o.Onset.Less(beat) {
			h.classes = h.classes.With(o.Pitch.Class())
		}
		h.others = h.others[1:]
	}
	again := func(t chordTone) int {
		if h.classes.Has(t.notes[0].Pitch.Class()) {
			return 1
		}
		return 0
	}
	guiding := 0
	for guiding < len(m.tones) && m.tones[guiding].rank <= seventh {
		guiding++
	}
	slices.SortStableFunc(m.tones[:guiding], func(x, y chordTone) int { return cmp.Compare(again(x), again(y)) })
	for _, t := range m.tones[:guiding] {
		if again(t) == 0 {
			m.guides = append(m.guides, t.notes[0])
		}
	}
	for _, t := range m.tones[:min(m.most, len(m.tones))] {
		h.classes = h.classes.With(t.notes[0].Pitch.Class())
	}
}

// bassCost is what the root is worth that a bass in the pedals adds to a chord:
// more than in the hands, less than third and seventh. The project's own figure.
const bassCost = 4.0

// closes are the onsets at which a cadence brings the tune to rest: the root comes after
// the dominant under the last note of a phrase, or one at least twice as long as usual.
func (a *arrangement) closes() map[score.Time]bool {
	ends, tunes := a.phraseEnds(), a.with(tune)
	lengths := make([]score.Time, len(tunes))
	for i, n := range tunes {
		lengths[i] = n.Length
	}
	slices.SortFunc(lengths, score.Time.Cmp)
	at := map[score.Time]bool{}
	for _, n := range tunes {
		if ends[n] || !n.Length.Less(lengths[len(lengths)/2].Mul(2, 1)) {
			at[n.Onset] = a.afterDominant(n.Onset)
		}
	}
	return at
}

// afterDominant tells whether the chord at a moment comes after the one on its fifth, with
// a major third.
func (a *arrangement) afterDominant(t score.Time) bool {
	i := a.chordIndex(t)
	if i == 0 {
		return false
	}
	before, now := &a.harmony[i-1], &a.harmony[i]
	root := before.Chord.Root.Class()
	return now.Chord.HasRoot && before.Chord.HasRoot &&
		root == (now.Chord.Root.Class()+7)%12 && harmony.ClassesOf(before.Chord).Has((root+4)%12)
}

// lastFifth is the pitch class of the fifth of a chord that begins at a moment, on which music
// comes to rest; -1 where it has another bass than its root.
func (a *arrangement) lastFifth(t score.Time) int {
	c := a.chordAt(t)
	if c.From != t || !c.Chord.HasRoot || c.Chord.HasBass && c.Chord.Bass.Class() != c.Chord.Root.Class() {
		return -1
	}
	return degreeOf(c.Chord, 5)
}

// gripsFor are the best of a moment. Where the third or seventh of the chord has no good
// key beside the bass, but has one without it, the bass is left out: they matter more
// than a root. Two parts, but for the outer chords of a piece and its cadences, are rather
// a third or a sixth than an octave or a fifth (common practice, no source). But a seventh leaves
// the first beat of a measure to the bass.
func (a *arrangement) gripsFor(m *moment, tried *[]grip, outer bool) []grip {
	without := *m
	grips := m.grips(tried)
	if outer || len(m.guides) == 0 || m.bass == 0 {
		return grips
	}
	chord := a.chordAt(m.onset).Chord
	guide := rankIn(m.guides[0].Pitch.Class(), chord)
	if rankIn(m.bass%12, chord) <= seventh || guide == seventh && slices.Contains(a.starts, m.onset) {
		return grips
	}
	without.bass, without.rung = 0, m.covered
	without.others = slices.DeleteFunc(slices.Clone(m.others), func(key int) bool { return key == m.bass })
	better := without.grips(tried)
	with, _ := m.best(grips)
	if cost, guides := without.best(better); !guides || cost+bassCost > with {
		return grips
	}
	*m = without
	for _, n := range a.struckAt(m.onset) {
		if n.role == bass {
			n.leftOut = "gives way to the " + guide.String()
			m.gaveWay = append(m.gaveWay, n)
		}
	}
	return better
}

// best is what the cheapest of grips costs, and whether it has the first guide.
func (m *moment) best(grips []grip) (cost float64, guides bool) {
	g := &grips[0]
	if nothing := &grips[len(grips)-1]; nothing.cost < g.cost {
		g = nothing
	}
	return g.cost, m.strikes(g, m.guides[0])
}

// strikes tells whether a grip of the moment has a note.
func (m *moment) strikes(g *grip, n *note) bool {
	return slices.ContainsFunc(g.tones[:g.n], func(tone int) bool { return m.tones[tone].notes[0] == n })
}

// takeGuides gives the guides that the hands do not strike to the feet, or leaves them out, and
// so the basses that have given way. They did so before the hands chose over the whole
// piece: where nobody strikes the guide after all, the bass is struck again if it can be.
func (f *footSteps) takeGuides(moments []moment, chosen []grip) {
	for i := range moments {
		m := &moments[i]
		for _, n := range m.guides {
			if n.seat == nowhere && n.leftOut == "" && !f.lendFoot(moments[i:], chosen[i:], n) {
				f.leaveOut(n, m.why(n, rankIn(n.Pitch.Class(), f.chordAt(n.Onset).Chord)))
			}
		}
		for _, n := range m.gaveWay {
			key := n.key()
			if m.guides[0].leftOut != "" && f.footFree(n.at, key) && f.clearOver(moments[i:], chosen[i:], key, n) {
				n.leftOut = ""
			} else {
				f.leaveOut(n, n.leftOut)
			}
		}
	}
}

// mostOverBass is how far a foot goes from the bass for a guide, in semitones: an octave,
// the project's own figure.
const mostOverBass = 12

// lendFoot gives a guide of the first moment that the hands do not strike, for want of
// room or time, to a foot that is free then, where the voicing has a bass in the pedals.
// It lies under all that the hands strike and would be heard for the bass: so it keeps
// above the bass of its chord, and only a third may take the place of one that has just
// given way. It tells whether a foot can.
func (f *footSteps) lendFoot(moments []moment, chosen []grip, n *note) bool {
	m, g := &moments[0], &chosen[0]
	if m.way.bass != kept || m.bass != 0 || f.isMade(n) {
		return false
	}
	before, covered := f.before(m)
	low, high := 0, 127
	if len(m.gaveWay) == 0 {
		b := f.bassOf(m.onset)
		if b == nil {
			return false
		}
		low, high = b.key(), b.key()+mostOverBass
	} else if n != m.guides[0] || rankIn(n.Pitch.Class(), f.chordAt(n.Onset).Chord) != third {
		return false
	}
	keys := slices.Concat(g.keys[:g.n], m.others)
	if m.sings {
		keys = append(keys, m.melody.low)
	}
	under := slices.Min(append(keys, f.tower.Pedals.High()+1))
	for octaves := farthest; octaves >= -farthest; octaves-- {
		key := n.Pitch.MIDI() + 12*octaves
		if key < low || key > min(high, under-1) || !f.tower.Pedals.Has(key) || roughWith(key, keys) || !covered && !before.allows(key) {
			continue
		}
		if f.footFree(n.at, key) && f.clearOver(moments, chosen, key, nil) {
			n.role, n.seat, n.octaves = bass, feet, octaves
			f.moved(n)
			f.lend(n)
			return true
		}
	}
	return false
}

// roughWith tells whether a key is a low major third or a semitone from one of others.
func roughWith(key int, others []int) bool {
	return slices.ContainsFunc(others, func(other int) bool {
		return instrument.RoughThird(key, other) || abs(key-other) == 1
	})
}

// footFree tells whether a foot is in time for a pedal, and its bell's clapper back,
// between what is struck before and after a moment.
func (a *arrangement) footFree(at float64, key int) bool {
	slower := ease[a.options.Difficulty].time
	late := func(n *note) bool {
		apart := math.Abs(n.at - at)
		return n.seat == feet && apart < slower*a.feetTime(n.key(), key) || n.key() == key && apart < slower*a.figures.repeat[key]
	}
	longest := slower * max(a.feetTime(a.tower.Pedals.Low(), a.tower.Pedals.High()), a.feetTime(key, key))
	return !slices.ContainsFunc(a.struckNear(at, longest), late)
}

// struckNear is what is struck at most so many seconds before or after a moment.
func (a *arrangement) struckNear(at, time float64) (near []*note) {
	from, _ := slices.BinarySearchFunc(a.notes, at-time, func(n *note, at float64) int { return cmp.Compare(n.at, at) })
	for _, n := range a.notes[from:] {
		if n.at > at+time {
			break
		}
		if n.struck() {
			near = append(near, n)
		}
	}
	return near
}
