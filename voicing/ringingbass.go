package voicing

import (
	"slices"

	"undersong/instrument"
	"undersong/score"
)

// rung is what the feet have struck that is still loud under the hands: a bell
// goes on, whatever is written.
type rung struct {
	keys []int
	bass int // the lowest key of a bass under the same chord; 0 of none
}

// footSteps are the strikes of the feet, of which the first so many are over.
type footSteps struct {
	*arrangement
	strikes [][]*note
	over    int
}

func (a *arrangement) footSteps() *footSteps {
	return &footSteps{a, together(a.where(func(n *note) bool { return n.seat == feet && n.leftOut == "" && n.way != nil })), 0}
}

// before is what the feet struck last before a moment, of moments in time order, and
// whether they strike something with it, which covers that. What has been left out
// since counts no more.
func (f *footSteps) before(onset score.Time, at float64) (r rung, covered bool) {
	gone := func(strike []*note) bool {
		return !slices.ContainsFunc(strike, func(n *note) bool { return n.leftOut == "" })
	}
	for f.over < len(f.strikes) && f.strikes[f.over][0].Onset.Less(onset) {
		f.over++
	}
	covered = f.over < len(f.strikes) && f.strikes[f.over][0].Onset == onset && !gone(f.strikes[f.over])
	last := f.over - 1
	for last >= 0 && gone(f.strikes[last]) {
		last--
	}
	if last < 0 {
		return r, covered
	}
	for _, n := range f.strikes[last] {
		if n.leftOut != "" || at-n.at >= f.figures.loud[n.key()] {
			continue
		}
		r.keys = append(r.keys, n.key())
		if n.role == bass && f.chordAt(n.Onset) == f.chordAt(onset) && (r.bass == 0 || n.key() < r.bass) {
			r.bass = n.key()
		}
	}
	return r, covered
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

// rungThird tells whether a pitch class would lie nowhere but a rough third over
// what rings.
func (m *moment) rungThird(class int) bool {
	rough := false
	for key := range m.keys.Keys() {
		if key%12 != class || key < max(m.low, m.bass, m.rung.bass) || key > m.high {
			continue
		}
		if m.rung.allows(key) {
			return false
		}
		rough = true
	}
	return rough
}
