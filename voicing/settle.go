package voicing

import (
	"cmp"
	"slices"

	"undersong/voicing/playing"
)

// settle makes sure that what is left can be played: where no sharing of the
// strokes between hands and feet can (package playing), the accompaniment loses
// the note that is needed least, until it can. The hands of the accompaniment
// are those of that sharing. What of the melody itself cannot be played stays,
// and is told.
type settle struct{}

// Name is "settle".
func (settle) Name() string { return "settle" }

// rounds is how often strokes are shared out anew: each round leaves out one
// note at least, in every place that needs it.
const rounds = 12

// Apply implements [pass].
func (p settle) Apply(a *arrangement) {
	player := playing.For(a.tower)
	for range rounds {
		notes := a.struck()
		shared := player.Assign(a.strokes(notes))
		if !p.thin(a, notes, shared.Problems) {
			p.hands(a, notes, shared.Limbs)
			p.tell(a, notes, shared.Problems)
			return
		}
	}
}

// struck are the notes that are played, grace notes apart, in time order.
func (a *arrangement) struck() []*note {
	return a.where(func(n *note) bool { return n.seat != nowhere && n.leftOut == "" && n.way != nil && !n.grace() })
}

// strokes are notes as the player strikes them, more slowly the easier it is to
// be.
func (a *arrangement) strokes(notes []*note) []playing.Stroke {
	slower := ease[a.options.Difficulty].time
	strokes := make([]playing.Stroke, len(notes))
	for i, n := range notes {
		strokes[i] = playing.Stroke{At: n.at / slower, Key: n.key(), Pedal: n.seat == feet, Wants: n.seat.limb()}
	}
	return strokes
}

// limb is the hand of a seat; the feet share their strokes between them.
func (s seat) limb() playing.Limb {
	return [...]playing.Limb{rightHand: playing.RightHand, leftHand: playing.LeftHand, feet: playing.Nobody}[s]
}

// thin leaves out one note, the least needed, of each problem that has one to
// spare, at most one a moment.
func (settle) thin(a *arrangement, notes []*note, problems []playing.Problem) bool {
	any := false
	last := -1.0
	for _, problem := range problems {
		if problem.Reason == playing.Leap {
			continue
		}
		var spare *note
		for _, i := range problem.Strokes {
			if n := notes[i]; n.role != tune && n.leftOut == "" && n.at != last && (spare == nil || a.need(n) >= a.need(spare)) {
				spare = n
			}
		}
		if spare != nil {
			a.leaveOut(spare, "cannot be played: "+problem.Reason.String())
			any, last = true, spare.at
		}
	}
	return any
}

// need orders notes by how soon they may go, as thinning does; a bass goes
// last.
func (a *arrangement) need(n *note) degreeRank {
	if n.role == bass {
		return -1
	}
	return rankIn(n.Pitch.Class(), a.chordAt(n.Onset).Chord)
}

// hands gives the accompaniment to the hands that can strike it, unless the
// melody sounds in that hand or the hand would reach over more than a fourth.
func (settle) hands(a *arrangement, notes []*note, limbs []playing.Limb) {
	melody := a.melodyRanges()
	for i := 0; i < len(notes); {
		first, end := i, i
		for end < len(notes) && notes[end].Onset == notes[first].Onset {
			end++
		}
		i = end
		r, sings := melody[notes[first].Onset]
		hands := make([]seat, end-first)
		fits := true
		var low, high [feet]int
		for k, n := range notes[first:end] {
			hands[k] = n.seat
			if n.role == accompaniment {
				hands[k] = rightHand
				if limbs[first+k] == playing.LeftHand {
					hands[k] = leftHand
				}
				fits = fits && !(sings && r.seat == hands[k])
			}
			if h := hands[k]; h != feet {
				if low[h] == 0 || n.key() < low[h] {
					low[h] = n.key()
				}
				high[h] = max(high[h], n.key())
			}
		}
		if !fits || high[leftHand]-low[leftHand] > fourth || high[rightHand]-low[rightHand] > fourth {
			continue
		}
		for k, n := range notes[first:end] {
			n.seat = hands[k]
		}
	}
}

// tell reports what of the melody cannot be played as it stands, once a
// measure.
func (settle) tell(a *arrangement, notes []*note, problems []playing.Problem) {
	told := map[int]bool{}
	hard := slices.DeleteFunc(slices.Clone(problems), func(p playing.Problem) bool { return p.Reason == playing.Leap })
	slices.SortStableFunc(hard, func(p, q playing.Problem) int {
		return cmp.Compare(notes[p.Strokes[len(p.Strokes)-1]].at, notes[q.Strokes[len(q.Strokes)-1]].at)
	})
	for _, p := range hard {
		n := notes[p.Strokes[len(p.Strokes)-1]]
		if m := a.measureAt(n.Onset); !told[m] {
			told[m] = true
			a.finding(n, "the melody cannot be played as it stands, by the %s: %s (%.2f, the limit is %.2f)", n.seat, p.Reason, p.Value, p.Limit)
		}
	}
}
