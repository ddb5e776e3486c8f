package voicing

import (
	"slices"

	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/ringing"
)

// unblur thins the accompaniment in measures that what still rings would make
// muddy: at the strike that beats most with it, the note that is needed least is
// left out, or rather the passing note that leads to it, until the measure is clear.
// Where it does not become clear, all stays. A beat keeps its strike, a chord something
// beside the melody, and third and seventh of the chord stay, but for those
// that are struck twice in a beat. The last chord stays whole: it dies away alone.
//
// Nothing damps a bell, so rapid changes of harmony blur (Rensselaer, "Suggestions
// for Composing for Carillon"); fewer strokes are the remedy that costs no line its
// shape. How loud all will be is not known yet: all but the melody counts as a mark
// softer than that.
func (a *arrangement) unblur() {
	bells, past := ringing.Of(a.tower), ringing.Past(nil)
	all := together(a.played())
	for from := 0; from < len(all); {
		measure, to := a.measureAt(all[from][0].Onset), from+1
		for to < len(all) && a.measureAt(all[to][0].Onset) == measure {
			to++
		}
		m := newBlurred(a, bells, past, all[from:to], all[len(all)-1][0].Onset)
		past = m.after()
		if m.muddy() {
			if spared, clear := m.thin(); clear {
				past = m.after()
				for _, n := range spared {
					a.leaveOut(n, "would blur with what still rings")
				}
			}
		}
		from = to
	}
}

// blurred is a measure's strikes against what rings.
type blurred struct {
	*arrangement
	bells   *ringing.Bells
	strikes [][]*note
	rings   []ringing.Past // before each strike and after the last
	beats   []float64      // how strongly what rings beats against each strike
	last    score.Time     // strike of the piece
}

func newBlurred(a *arrangement, bells *ringing.Bells, past ringing.Past, strikes [][]*note, last score.Time) *blurred {
	m := &blurred{
		arrangement: a, bells: bells, last: last, strikes: slices.Clone(strikes),
		rings: make([]ringing.Past, len(strikes)+1), beats: make([]float64, len(strikes)),
	}
	m.rings[0] = past
	m.strike(0)
	return m
}

// after is what rings after the measure.
func (m *blurred) after() ringing.Past { return m.rings[len(m.strikes)] }

func (m *blurred) muddy() bool { return middle(slices.Clone(m.beats)) > ringing.Muddy }

// strike strikes from one of the strikes on.
func (m *blurred) strike(from int) {
	for i := from; i < len(m.strikes); i++ {
		var struck []ringing.Stroke
		for _, n := range m.strikes[i] {
			s := ringing.Stroke{Key: n.key(), At: n.at, Gain: m.figures.level[n.key()]}
			if n.role != tune {
				s.Gain -= m.tower.Dynamics
			}
			if !slices.ContainsFunc(struck, func(o ringing.Stroke) bool { return o.Key == s.Key }) {
				struck = append(struck, s)
			}
		}
		m.rings[i+1], m.beats[i], _ = m.bells.Strike(m.rings[i], struck)
	}
}

// thin leaves out one note after the other until the measure is clear; false
// where it does not become clear.
func (m *blurred) thin() (spared []*note, clear bool) {
	for m.muddy() {
		spare, i := m.spare()
		if spare == nil {
			return nil, false
		}
		spared = append(spared, spare)
		m.strikes[i] = slices.DeleteFunc(slices.Clone(m.strikes[i]), func(n *note) bool { return n == spare })
		if len(m.strikes[i]) == 0 {
			m.strikes = slices.Delete(m.strikes, i, i+1)
			m.beats = slices.Delete(m.beats, i, i+1)
		}
		m.strike(i)
	}
	return spared, true
}

// spare is the note to leave out and the index of its strike, nil of none: of
// the strike with the strongest beats that has one to spare the one that is
// needed least.
func (m *blurred) spare() (spare *note, of int) {
	worst := ringing.Muddy
	for i, strike := range m.strikes {
		if m.beats[i] <= worst || strike[0].Onset == m.last {
			continue
		}
		from, to := m.beatAround(strike[0].Onset)
		var least *note
		for _, n := range strike {
			class := n.Pitch.Class()
			needed := rankIn(class, m.chordAt(n.Onset).Chord) <= seventh && !struckIn(m.strikes, class, from, to, n)
			if n.role == accompaniment && !needed && !m.alone(n) && (least == nil || m.need(n) >= m.need(least)) {
				least = n
			}
		}
		if least != nil && (len(strike) > 1 || from != least.Onset && strikesIn(m.strikes, from, to) > 1) {
			spare, of, worst = least, i, m.beats[i]
		}
	}
	if passing := m.passingTo(spare, of); passing != nil {
		return passing, of - 1
	}
	return spare, of
}

// alone tells whether a note is all that the measure has beside the melody of a chord that
// comes on a beat: without it what was struck before would ring into a chord that is not heard.
func (m *blurred) alone(n *note) bool {
	chord := m.chordAt(n.Onset)
	if m.beatStart(chord.From) != chord.From {
		return false
	}
	for _, strike := range m.strikes {
		for _, o := range strike {
			if o != n && o.role != tune && m.chordAt(o.Onset) == chord {
				return false
			}
		}
	}
	return true
}

// passingTo is the passing note that leads to a tone of the chord: of the strike before
// it, after the beat, a step away and not of its chord. It rings into the tone, which the
// ear misses more. Nil where there is none.
func (m *blurred) passingTo(n *note, i int) *note {
	if n == nil || i == 0 || !m.ofChord(n) {
		return nil
	}
	before := m.strikes[i-1]
	if onset := before[0].Onset; m.beatStart(onset) == onset || len(before) == 1 {
		return nil
	}
	for _, o := range before {
		if o.role == accompaniment && !m.ofChord(o) && stepApart(o.key(), n.key()) {
			return o
		}
	}
	return nil
}

// ofChord tells whether a note is of the chord that sounds with it.
func (m *blurred) ofChord(n *note) bool {
	return harmony.ClassesOf(m.chordAt(n.Onset).Chord).Has(n.Pitch.Class())
}

// strikesIn counts the strikes between two moments.
func strikesIn(strikes [][]*note, from, to score.Time) (n int) {
	for _, strike := range strikes {
		if at := strike[0].Onset; !at.Less(from) && at.Less(to) {
			n++
		}
	}
	return n
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
