package voicing

import "undersong/instrument"

// rung is what the feet have struck that is still loud under the hands: a bell
// goes on, whatever is written.
type rung struct {
	keys []int
	bass int // the lowest key of a bass under the same chord; 0 of none
}

// rungAt tells, of onsets in time order, what the feet struck last before each.
func (a *arrangement) rungAt(strikes [][]*note) []rung {
	feet := together(a.where(func(n *note) bool { return n.seat == feet && n.leftOut == "" && n.way != nil }))
	all := make([]rung, len(strikes))
	next := 0
	for i, strike := range strikes {
		now := strike[0]
		for next < len(feet) && feet[next][0].Onset.Less(now.Onset) {
			next++
		}
		if next == 0 {
			continue
		}
		for _, n := range feet[next-1] {
			if now.at-n.at >= a.figures.loud[n.key()] {
				continue
			}
			r := &all[i]
			r.keys = append(r.keys, n.key())
			if n.role == bass && a.chordAt(n.Onset) == a.chordAt(now.Onset) && (r.bass == 0 || n.key() < r.bass) {
				r.bass = n.key()
			}
		}
	}
	return all
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
