package voicing

import (
	"cmp"
	"slices"

	"undersong/score"
	"undersong/voicing/harmony"
)

// relength writes what each limb plays of the accompaniment, and the bass, as
// one line: a note on a beat lasts until the next stroke of that line, one
// after the beat at most until the next stroke of any, none beyond a rest that
// the accompaniment of the source has, and none longer than there into a chord
// that it is not of. A bell rings on whatever is written, so nothing changes for
// the ear, and the places of notes that are gone show no rests.
func (a *arrangement) relength() {
	var onsets []score.Time
	for _, n := range a.where(func(n *note) bool { return n.role != tune && n.struck() && !n.grace() }) {
		onsets = append(onsets, n.Onset)
	}
	a.putInLines()
	held := a.heldUntil()
	for _, l := range lines[rightHand:] {
		strikes := together(a.where(func(n *note) bool { return n.line == l && n.struck() }))
		for i, strike := range strikes {
			lead := strike[0]
			if k := slices.IndexFunc(strike, func(n *note) bool { return n.role == tune }); k >= 0 {
				a.writeLength(strike, strike[k].written) // in a chord with the melody
				continue
			}
			own := latestEnd(strike)
			end := score.Min(held(lead.Onset), a.starts[a.measureAt(lead.Onset)+1])
			end = score.Max(score.Min(end, a.belongsUntil(strike, own)), own)
			if i+1 < len(strikes) {
				end = score.Min(end, strikes[i+1][0].Onset)
			}
			if a.beatStart(lead.Onset) != lead.Onset {
				if next, _ := slices.BinarySearchFunc(onsets, lead.Onset, afterward); next < len(onsets) {
					end = score.Min(end, onsets[next])
				}
			}
			a.writeLength(strike, end.Sub(lead.Onset))
		}
	}
}

// putInLines puts every note into the line of its seat. A figure of single notes
// that goes to and fro between the hands within a beat is written in one line;
// in two it would be full of rests.
func (a *arrangement) putInLines() {
	beat := score.Quarters(-1)
	var row [][]*note
	flush := func() {
		if alternates(row) {
			for _, strike := range row {
				strike[0].line, strike[0].figure = lines[rightHand], true
			}
		}
		row = nil
	}
	for _, n := range a.where(func(n *note) bool { return n.struck() }) {
		if n.line = lines[n.seat]; n.role == tune {
			n.line = lines[n.home]
		}
	}
	for _, strike := range together(a.where(func(n *note) bool { return n.seat != feet && n.struck() })) {
		if at := a.beatStart(strike[0].Onset); at != beat {
			flush()
			beat = at
		}
		row = append(row, strike)
	}
	flush()
}

// alternates tells whether strikes are single notes of the accompaniment that
// go from one hand to the other.
func alternates(row [][]*note) bool {
	changes := false
	for i, strike := range row {
		if len(strike) > 1 || strike[0].role == tune {
			return false
		}
		changes = changes || i > 0 && strike[0].seat != row[i-1][0].seat
	}
	return changes
}

// writeLength gives all notes of a strike that are not melody one length.
func (a *arrangement) writeLength(strike []*note, length score.Time) {
	for _, n := range strike {
		if n.role != tune && n.written != length {
			n.written = length
			a.relengthened(n)
		}
	}
}

// afterward compares for a search of the first moment after another.
func afterward(at, t score.Time) int { return cmp.Or(at.Cmp(t), -1) }

func latestEnd(notes []*note) score.Time {
	var end score.Time
	for _, n := range notes {
		end = score.Max(end, n.End())
	}
	return end
}

// belongsUntil is when, from a moment on, a beat begins whose chord has not all of some notes; the
// end of the piece if none does.
func (a *arrangement) belongsUntil(notes []*note, from score.Time) score.Time {
	var all harmony.Classes
	for _, n := range notes {
		all = all.With(n.Pitch.Class())
	}
	i, _ := slices.BinarySearchFunc(a.harmony, from, func(h harmony.Span, t score.Time) int { return h.From.Cmp(t) })
	for _, h := range a.harmony[i:] {
		if h.Chord.HasRoot && all&^harmony.ClassesOf(h.Chord) != 0 && a.beatStart(h.From) == h.From {
			return h.From
		}
	}
	return a.starts[len(a.starts)-1]
}

// heldUntil tells until when, from an onset on, the accompaniment of the
// source sounds without a rest.
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
		i, _ := slices.BinarySearchFunc(spans, onset, func(s [2]score.Time, t score.Time) int { return afterward(s[1], t) })
		if i == len(spans) {
			return onset
		}
		return spans[i][1]
	}
}
