package voicing

import (
	"slices"

	"undersong/score"
	"undersong/voicing/playing"
)

// leastSpread is the least time in seconds between the tones of a chord that is
// spread, and from there to the next strike: the project's own figure.
const leastSpread = 0.25

// spreadChords strikes the seventh of a chord later in its beat where the only free hand
// cannot strike it together with the third, because it moves or they lie a tritone
// apart: tones that are too many are spread instead of struck together ("Arranging
// for Carillon", lesson "Harmony"). In a quick beat it joins the next chord.
func (a *arrangement) spreadChords() {
	if a.options.Difficulty == 1 {
		return // all is struck on the beats
	}
	melody := a.melodyRanges()
	type delay struct {
		notes []*note
		by    score.Time
		end   score.Time // of its beat
	}
	var delays []delay
	strikes := together(a.where(func(n *note) bool { return n.role == accompaniment && n.leftOut == "" && n.way != nil && !a.isMade(n) }))
	for i, strike := range strikes {
		onset := strike[0].Onset
		r, sings := melody[onset]
		if !sings || r.seat == feet || strike[0].way.alone {
			continue // both hands are free, or have nothing to do
		}
		tones := a.tooMany(strike, a.mostAtOnce(strikes, i))
		if len(tones) == 0 {
			continue
		}
		_, end := a.beatAround(onset)
		next, joins := end, false
		if i+1 < len(strikes) && strikes[i+1][0].Onset.Less(end) {
			next = strikes[i+1][0].Onset
			joins = !slices.ContainsFunc(strikes[i+1], func(n *note) bool { return n.Pitch.Class() == tones[0].Pitch.Class() })
		}
		if later, can := a.spreadBy(onset, next, joins); can {
			delays = append(delays, delay{tones, later, end})
		}
	}
	for _, d := range delays {
		for _, n := range d.notes {
			a.delay(n, d.by, d.end)
		}
	}
	slices.SortStableFunc(a.notes, func(x, y *note) int {
		if by := x.Onset.Cmp(y.Onset); by != 0 || x.grace() == y.grace() {
			return by
		} else if x.grace() {
			return -1
		}
		return 1
	})
}

// delay has a note of the accompaniment struck later. One that is over by then lasts
// until the end of its beat.
func (a *arrangement) delay(n *note, by, end score.Time) {
	if n.First().Ratio != (score.Ratio{}) {
		return
	}
	a.record(n, Change{Later: by.String()})
	n.late = true
	end = score.Max(end, n.End())
	n.Onset = n.Onset.Add(by)
	n.Length = end.Sub(n.Onset)
	n.written = n.Length
	n.at = a.clock.Seconds(n.Onset)
}

// spreadBy is by how much later a tone is struck of a chord at onset that has the time
// until next: before the last of three parts where that time has these, else in its
// middle; where that is too quick, with the next chord of the beat, which it joins.
func (a *arrangement) spreadBy(onset, next score.Time, joins bool) (by score.Time, can bool) {
	span := next.Sub(onset)
	by = span.Mul(1, 2)
	if span.Num()%3 == 0 {
		by = span.Mul(2, 3)
	}
	if !a.tooQuickToSpread(onset, onset.Add(by)) && !a.tooQuickToSpread(onset.Add(by), next) {
		return by, true
	}
	return span, joins && !a.tooQuickToSpread(onset, next)
}

// tooQuickToSpread tells whether two moments are too close for a hand that spreads a chord.
func (a *arrangement) tooQuickToSpread(from, to score.Time) bool {
	return a.clock.Seconds(to)-a.clock.Seconds(from) < leastSpread*ease[a.options.Difficulty].time
}

// mostAtOnce is how many notes the free hand strikes at most at one of the strikes.
func (a *arrangement) mostAtOnce(strikes [][]*note, i int) int {
	w, easier := strikes[i][0].way, ease[a.options.Difficulty]
	for k := max(i, 1); k <= i+1 && k < len(strikes); k++ {
		if strikes[k][0].at-strikes[k-1][0].at < playing.Slow*easier.time {
			return min(w.limit(w.most+easier.most), a.tower.Player.HandNotes)
		}
	}
	return min(w.limit(w.mostSlow+easier.mostSlow), a.tower.Player.SlowHandNotes)
}

// tooMany are the notes of a strike that are its chord's seventh, where one hand
// that strikes so many notes at most cannot strike them with the third; none where
// melody or bass has one of the two.
func (a *arrangement) tooMany(strike []*note, most int) []*note {
	onset := strike[0].Onset
	chord := a.chordAt(onset).Chord
	var by [seventh + 1][]*note
	for _, n := range a.struckAt(onset) {
		switch rank := rankIn(n.Pitch.Class(), chord); {
		case rank > seventh:
		case n.role != accompaniment:
			return nil
		default:
			by[rank] = append(by[rank], n)
		}
	}
	if len(by[third]) == 0 || len(by[seventh]) == 0 {
		return nil
	}
	apart := abs(by[third][0].Pitch.Class() - by[seventh][0].Pitch.Class())
	if most > 1 && apart != 6 { // a second, third or fourth, or its inversion
		return nil
	}
	return by[seventh]
}
