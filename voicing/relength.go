package voicing

import (
	"slices"

	"undersong/score"
)

// Relength writes the accompaniment, and the bass, as one line of chords
// each: a chord lasts until the next is struck, or until the accompaniment of
// the source has a rest. A bell rings on whatever is written, so nothing
// changes for the ear, and the places of notes that are gone show no rests.
type Relength struct{}

// Name is "relength".
func (Relength) Name() string { return "relength" }

// Apply implements [Pass].
func (Relength) Apply(a *Arrangement) {
	for _, role := range []Role{Accompaniment, Bass} {
		held := a.heldUntil()
		strikes := together(a.with(role))
		for i, strike := range strikes {
			onset := strike[0].Onset
			end := score.Min(held(onset), a.starts[a.measureAt(onset)+1])
			end = score.Max(end, latestEnd(strike))
			if i+1 < len(strikes) {
				end = score.Min(end, strikes[i+1][0].Onset)
			}
			for _, n := range strike {
				if length := end.Sub(onset); n.Written != length {
					n.Written = length
					a.relengthened(n)
				}
			}
		}
	}
}

func latestEnd(notes []*Note) score.Time {
	var end score.Time
	for _, n := range notes {
		end = score.Max(end, n.End())
	}
	return end
}

// heldUntil tells until when, from an onset on, the accompaniment of the
// source sounds without a rest. It must be asked in the order of time.
func (a *Arrangement) heldUntil() func(onset score.Time) score.Time {
	notes := a.where(func(n *Note) bool { return n.Role != Melody && !n.Grace() && n.First().Plays() })
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
