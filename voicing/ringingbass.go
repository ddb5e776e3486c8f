package voicing

import (
	"slices"

	"undersong/instrument"
	"undersong/score"
)

// rung is what the feet have struck that still counts under the hands.
type rung struct {
	keys []int // that are still loud: a bell goes on, whatever is written
	bass int   // the lowest key of a bass that is still one, or held on; 0 of none
}

// footSteps are the strikes of the feet.
type footSteps struct {
	*arrangement
	strikes [][]*note
	lent    []*note // the last strike that was lent, of a moment without another
}

func (a *arrangement) footSteps() *footSteps {
	strikes := together(a.where(func(n *note) bool { return n.seat == feet && n.struck() }))
	return &footSteps{arrangement: a, strikes: strikes}
}

// from is the index of the first strike from a moment on, and whether it is at that.
func (f *footSteps) from(onset score.Time) (i int, at bool) {
	return slices.BinarySearchFunc(f.strikes, onset, func(s []*note, t score.Time) int { return s[0].Onset.Cmp(t) })
}

// lend adds a note that a foot strikes.
func (f *footSteps) lend(n *note) {
	switch i, at := f.from(n.Onset); {
	case at:
		f.strikes[i] = append(f.strikes[i], n)
	case f.lent != nil && f.lent[0].Onset == n.Onset:
		f.lent = append(f.lent, n)
	default:
		f.lent = []*note{n}
	}
}

// gone tells whether all of a strike has been left out.
func gone(strike []*note) bool {
	return !slices.ContainsFunc(strike, func(n *note) bool { return n.leftOut == "" })
}

// before is what the feet struck last before a moment, and whether they strike something with it, which covers that. What has been left out
// since counts no more.
func (f *footSteps) before(m *moment) (r rung, covered bool) {
	last, at := f.from(m.onset)
	covered = at && !gone(f.strikes[last])
	last--
	for last >= 0 && gone(f.strikes[last]) {
		last--
	}
	var strike []*note
	if last >= 0 {
		strike = f.strikes[last]
	}
	if f.lent != nil && f.lent[0].Onset.Less(m.onset) && (strike == nil || strike[0].Onset.Less(f.lent[0].Onset)) {
		strike = f.lent
	}
	for _, n := range strike {
		loud, held := m.at-n.at < f.figures.loud[n.key()], m.onset.Less(n.End())
		if n.leftOut != "" || !loud && !held {
			continue
		}
		if loud {
			r.keys = append(r.keys, n.key())
		}
		if n.role == bass && (held || f.stillBass(n, m.onset)) && (r.bass == 0 || n.key() < r.bass) {
			r.bass = n.key()
		}
	}
	return r, covered
}

// stillBass tells whether a bass is one at a later moment, too: in the same beat, of the
// same chord, or of one that is over it.
func (a *arrangement) stillBass(n *note, later score.Time) bool {
	now := a.chordAt(later)
	if a.chordAt(n.Onset) == now || a.beatStart(n.Onset) == a.beatStart(later) {
		return true
	}
	under := now.Chord.Root
	if now.Chord.HasBass {
		under = now.Chord.Bass
	}
	return now.Chord.HasRoot && under.Class() == n.Pitch.Class()
}

// bassOf is the last bass that the feet have struck of the chord at a moment, nil of none.
func (f *footSteps) bassOf(onset score.Time) *note {
	last, _ := f.from(onset)
	for i := min(last, len(f.strikes)-1); i >= 0; i-- {
		for _, n := range f.strikes[i] {
			switch {
			case onset.Less(n.Onset) || n.leftOut != "" || n.role != bass:
			case !f.stillBass(n, onset):
				return nil
			default:
				return n
			}
		}
	}
	return nil
}

// clearOver tells whether the hands strike nothing that a bell of the feet, struck at the
// first of these moments as that bass, nil of none, does not allow while it is loud, until
// the feet strike again.
func (f *footSteps) clearOver(moments []moment, chosen []grip, low int, asBass *note) bool {
	first, r := &moments[0], rung{keys: []int{low}}
	next, at := f.from(first.onset)
	if at {
		next++
	}
	for next < len(f.strikes) && gone(f.strikes[next]) {
		next++
	}
	for i := range moments {
		m := &moments[i]
		if m.at-first.at >= f.figures.loud[low] || next < len(f.strikes) && !m.onset.Less(f.strikes[next][0].Onset) {
			break
		}
		if r.bass = 0; asBass != nil && f.stillBass(asBass, m.onset) {
			r.bass = low
		}
		for _, key := range chosen[i].keys[:chosen[i].n] {
			if key == low && i == 0 || !r.allows(key) {
				return false
			}
		}
	}
	return true
}

// allows tells whether a key may be struck over what rings: it makes no major
// third with a low bell (T. Gurin, GCNA Bulletin 71), and does not lie under the
// bass, which would turn the chord.
func (r *rung) allows(key int) bool {
	for _, low := range r.keys {
		if key > low && instrument.RoughThird(low, key) {
			return false
		}
	}
	return key >= r.bass
}

// rungThird tells whether a tone of that rank would lie nowhere but a rough third over
// what rings.
func (m *moment) rungThird(class int, rank degreeRank) bool {
	rough := false
	for key := range m.tower.Manual.Keys() {
		if key%12 != class || key < max(m.lowFor(rank), m.bass, m.rung.bass) || key > m.high {
			continue
		}
		if m.rung.allows(key) {
			return false
		}
		rough = true
	}
	return rough
}
