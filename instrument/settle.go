package instrument

import "undersong/score"

// settle works out what depends on several fields, and checks that they fit.
func (d *draft) settle() {
	keyboards := []string{"from", "keys", "missing", "pedals"}
	if d.fine(keyboards...) {
		d.settleKeys()
	}
	pitches := append(keyboards, "transposition")
	if d.fine(pitches...) {
		d.checkHighest()
	}
	if d.fine(append(pitches, "bourdon")...) {
		d.checkBourdon()
	}
	if d.fine("from", "hand-notes", "slow-hand-notes") {
		d.checkHands()
	}
}

// settleKeys makes the keyboards. Where a file gives new keys, but no pedals,
// these reach from the lowest key to the same highest pedal: the lowest pedal
// is the lowest manual key (TowerBells.org, "Keyboard Ranges").
func (d *draft) settleKeys() {
	t := &d.tower
	keys, pedals := t.Manual, t.Pedals
	if d.has("keys") {
		keys = d.keys
	}
	switch {
	case d.has("pedals"):
		pedals = d.pedals
		d.checkPedals(keys)
	case d.has("keys") && pedals.Len() > 0:
		pedals = span(keys.Low(), pedals.High())
	}
	t.Manual = keys.without(d.missing)
	t.Pedals = pedals.and(t.Manual)
	if more := d.missing.without(keys); more.Len() > 0 {
		d.wrong("missing", "must be keys of the manual (%v), which has no %v", keys, more)
	} else if t.Manual.Len() == 0 {
		d.wrong("missing", "must leave the manual (%v) some bells", keys)
	}
}

// checkPedals checks that the outer pedals have something to pull down. A
// single pedal is taken for a file that says one end only.
func (d *draft) checkPedals(keys Compass) {
	switch d.pedals.Len() {
	case 0:
		return
	case 1:
		d.wrong("pedals", wantPedals)
		return
	}
	for _, end := range []int{d.pedals.Low(), d.pedals.High()} {
		if !keys.Has(end) {
			d.wrong("pedals", "must begin and end at keys of the manual (%v), which has no %s", keys, score.KeyName(end))
		}
	}
}

func (d *draft) checkHighest() {
	if high := d.tower.Manual.High() + d.tower.SoundingOffset(); high > highestKey {
		d.wrong(d.first("transposition", "keys"),
			"must not let the highest bell sound above G9 (MIDI 127); it would sound %s", score.KeyName(high))
	}
}

func (d *draft) checkHands() {
	if p := d.tower.Player; p.SlowHandNotes < p.HandNotes {
		d.wrong(d.first("slow-hand-notes", "hand-notes"),
			"must not allow a moving hand more notes (%d) than a slow one (%d)", p.HandNotes, p.SlowHandNotes)
	}
}

// checkBourdon compares the mass of the lowest bell with its pitch. Known
// towers lie within a fifth of the law (see massLaw); a wrong octave misses it
// by a factor of eight.
func (d *draft) checkBourdon() {
	usual := d.tower
	usual.Casting.Bourdon = 0
	low := usual.Bell(usual.Manual.Low())
	if m := d.tower.Casting.Bourdon; m > 0 && (m < low.Mass/2 || m > low.Mass*2) {
		d.wrong(d.first("bourdon", "transposition", "keys"),
			"must fit the pitch of the lowest bell: one of %.0f to %.0f kg sounds %s; check bourdon, transposition and keys",
			low.Mass/2, low.Mass*2, score.KeyName(low.Sounds))
	}
}

// first is the first of some fields that the file has, or else the last.
func (d *draft) first(fields ...string) string {
	for _, f := range fields {
		if d.has(f) {
			return f
		}
	}
	return fields[len(fields)-1]
}
