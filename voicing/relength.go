package voicing

import (
	"slices"

	"undersong/score"
)

// relength writes what each limb plays of the accompaniment, and the bass, as
// one line: a note on a beat lasts until the next stroke of that limb, one
// after the beat at most until the next stroke of any, and none beyond a
// rest that the accompaniment of the source has. A bell rings on whatever is
// written, so nothing changes for the ear, and the places of notes that are
// gone show no rests.
type relength struct{}

// Name is "relength".
func (relength) Name() string { return "relength" }

// Apply implements [pass].
func (p relength) Apply(a *arrangement) {
	all := together(a.where(func(n *note) bool { return n.role != tune && n.leftOut == "" && n.way != nil }))
	for _, s := range []seat{rightHand, leftHand, feet} {
		held := a.heldUntil()
		strikes := together(a.where(func(n *note) bool { return n.seat == s && n.leftOut == "" && n.way != nil }))
		next := nextOnsets(all)
		for i, strike := range strikes {
			lead := strike[0]
			if k := slices.IndexFunc(strike, func(n *note) bool { return n.role == tune }); k >= 0 {
				p.write(a, strike, strike[k].written) // in a chord with the melody
				continue
			}
			end := score.Min(held(lead.Onset), a.starts[a.measureAt(lead.Onset)+1])
			end = score.Max(end, latestEnd(strike))
			if i+1 < len(strikes) {
				end = score.Min(end, strikes[i+1][0].Onset)
			}
			if a.beatStart(lead.Onset) != lead.Onset {
				end = score.Min(end, next(lead.Onset))
			}
			p.write(a, strike, end.Sub(lead.Onset))
		}
	}
}

// write gives all notes of a strike that are not melody one length.
func (relength) write(a *arrangement, strike []*note, length score.Time) {
	for _, n := range strike {
		if n.role != tune && n.written != length {
			n.written = length
			a.relengthened(n)
		}
	}
}

// nextOnsets tells when the next strike comes after an onset. It must be asked
// in the order of time.
func nextOnsets(strikes [][]*note) func(score.Time) score.Time {
	return func(after score.Time) score.Time {
		for len(strikes) > 1 && !after.Less(strikes[0][0].Onset) {
			strikes = strikes[1:]
		}
		if at := strikes[0][0].Onset; after.Less(at) {
			return at
		}
		return score.Quarters(1 << 28)
	}
}

func latestEnd(notes []*note) score.Time {
	var end score.Time
	for _, n := range notes {
		end = score.Max(end, n.End())
	}
	return end
}

// heldUntil tells until when, from an onset on, the accompaniment of the
// source sounds without a rest. It must be asked in the order of time.
func (a *arrangement) heldUntil() func(onset score.Time) score.Time {
	notes := a.where(func(n *note) bool { return n.role != tune && !n.grace() && n.First().Plays() })
	var spans [][2]score.Time
	for _, n := range notes {
		last := len(spans) - 1
		if last >= 0 && !spans[last][1].Less(n.Onset) {
			spans[last][1] = score.Max(spans[last][1], n.End())
		} else {
			spans = append(spans, [2]score.Time{n.Onset, n.End()})
		}
	}
	return func(onset score.Time) score.Time {
		i := slices.IndexFunc(spans, func(s [2]score.Time) bool { return onset.Less(s[1]) })
		if i < 0 {
			return onset
		}
		spans = spans[i:]
		return spans[0][1]
	}
}
