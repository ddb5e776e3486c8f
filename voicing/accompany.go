package voicing

import (
	"cmp"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/playing"
)

// leastRoom is the span in semitones under a low melody that the hands get
// even if it lies deep: the project's own figure.
const leastRoom = 9

// moment is one onset at which the source strikes its accompaniment.
type moment struct {
	onset  score.Time
	at     float64 // in seconds
	way    *way
	tower  *instrument.Tower
	tones  []chordTone // the most needed first
	all    float64     // what it costs to strike none of them
	guides []*note     // thirds and sevenths that the beat has not had yet

	most, handNotes int // how many notes may be struck, and by one hand
	hands           int // how many are free
	melodyHand      seat
	melodyKey       int  // struck by melodyHand now; 0 when it strikes nothing
	melodyLine      seat // the hand in whose line the melody is, though it rests for less than a measure
	sings           bool
	unison          *note    // doubles the melody in the source, note for note; nil of none
	holds           bool     // it is struck on a beat, and nothing at the next one or before
	even            bool     // its note stays for the even rhythm of a figure
	echo            []int    // keys that would be heard for the melody's
	melody          keyRange // what sounds of it, when it sings
	others          []int    // keys struck at the same time by melody and bass
	fromBass        int      // the key on which a lone note goes on from the bass of its beat by a step; 0 of none
	torn            bool     // from the bass: that key cannot be struck
	bass            int      // the key of a bass in the pedals that is struck now; 0 of none
	lastFifth       int      // the pitch class of the fifth of a last chord; -1 of none
	gaveWay         []*note  // a bass that was struck now, until a guide had no key beside it
	rung, covered   rung     // by the feet before; what a bass of the moment covers
	figures         *figures
	ease            float64 // by how much longer the hands take
	possible        bool    // something can be struck
	room
}

// chordTone is what the source strikes of one pitch class, the highest first.
type chordTone struct {
	notes []*note
	rank  degreeRank
}

// accompany puts all that is neither melody nor bass under the hands, above
// the melody or below it as the voicing says, and thins it to what they can
// strike. What is struck when, it takes from the source; which tones stay, and
// on which keys, is one decision over the whole piece by the costs in grip.go.
//
// Tones go in the published order ("Arranging for Carillon", lesson
// "Harmony"): what is doubled first, then the fifth of the chord, then what
// says least of the rest. Third and seventh stay longest.
func (a *arrangement) accompany() {
	for _, n := range a.with(accompaniment) {
		switch {
		case n.way.alone:
			a.leaveOut(n, "the melody is alone here")
		case a.options.Difficulty == 1 && a.beatStart(n.Onset) != n.Onset:
			a.leaveOut(n, "after the beat")
		}
	}
	moments := a.moments()
	steps := make([][]grip, len(moments))
	var tried []grip
	bells := a.footSteps()
	closes := a.closes()
	for i := range moments {
		m := &moments[i]
		if before, covered := bells.before(m); covered {
			m.covered = before
		} else {
			m.rung = before
		}
		ends := closes[m.onset] || i == len(moments)-1
		if m.lastFifth = -1; ends {
			m.lastFifth = a.lastFifth(m.onset)
		}
		steps[i] = a.gripsFor(m, &tried, ends || i == 0)
		m.possible = len(steps[i]) > 1
		m.torn = m.fromBass != 0 && !slices.ContainsFunc(steps[i], func(g grip) bool { return g.keys[0] == m.fromBass })
	}
	path := cheapest(steps,
		func(_ int, g *grip) float64 { return g.cost },
		func(i int, f, g *grip) float64 { return moments[i].moveCost(&moments[i-1], f, g) })
	chosen := make([]grip, len(moments))
	last := -1 // the moment struck last
	for i := range moments {
		chosen[i] = steps[i][path[i]]
		if last >= 0 && a.stillRings(&moments[last], &moments[i], &chosen[last], &chosen[i]) {
			a.skipMoment(&moments[i])
			chosen[i] = grip{}
			continue
		}
		a.strikeGrip(&moments[i], &chosen[i])
		last = i
	}
	a.deal(moments, chosen)
	bells.takeGuides(moments, chosen)
}

const (
	// heavyBelow is the key under which bells count as heavy for the hands: C5,
	// about 300 kg (Wellington National War Memorial Carillon, NZHistory).
	heavyBelow = 72
	// repeatedChord is how soon, in seconds, a chord on heavy bells is not struck
	// again after the beat: the project's own figure.
	repeatedChord = 0.5
)

// stillRings tells whether a grip after the beat only repeats the one before it
// on heavy bells, which ring on: there repeated chords become fewer strokes. A figure
// that was thinned keeps what is left of it, and what doubles the melody goes with it.
func (a *arrangement) stillRings(before, now *moment, f, g *grip) bool {
	return g.n > 0 && !now.even && !g.doubles && f.keys == g.keys && g.n == f.n && g.keys[0] < heavyBelow &&
		now.at-before.at < repeatedChord && a.beatStart(now.onset) != now.onset
}

// skipMoment leaves out all that would be struck at a moment.
func (a *arrangement) skipMoment(m *moment) {
	for _, tone := range m.tones {
		for _, n := range tone.notes {
			a.leaveOut(n, "repeated on bells that still ring")
		}
	}
}

// why is the reason for which the hands do not strike a note of that rank.
func (m *moment) why(n *note, rank degreeRank) string {
	switch {
	case m.rungThird(n.Pitch.Class(), rank):
		return "a major third with the low bass that rings"
	case !m.possible:
		return "no room on the manual"
	case m.torn:
		return "no key a step from the bass that it goes on from"
	}
	return rank.String()
}

// strikeGrip gives the notes of a moment their keys, or the reason why they have
// none. The hands come later, and a guide that they do not strike may go to a foot.
func (a *arrangement) strikeGrip(m *moment, g *grip) {
	placed := map[int]bool{}
	for i, key := range g.keys[:g.n] {
		tone := m.tones[g.tones[i]]
		n := tone.notes[0]
		n.octaves = (key - n.Pitch.MIDI()) / 12
		a.moved(n)
		placed[g.tones[i]] = true
	}
	for i, tone := range m.tones {
		stays := placed[i] || slices.Contains(m.guides, tone.notes[0])
		for k, n := range tone.notes {
			switch {
			case !stays:
				a.leaveOut(n, m.why(n, tone.rank))
			case k > 0:
				a.leaveOut(n, doubledNote)
			}
		}
	}
}

// doubledNote is the reason for which a note is merged into another of its
// pitch class that is struck with it.
const doubledNote = "doubled note"

// moments are the strikes of the accompaniment in time order.
func (a *arrangement) moments() []moment {
	melody := a.melodyRanges()
	easier := ease[a.options.Difficulty]
	strikes := together(a.with(accompaniment))
	moments := make([]moment, len(strikes))
	had := struckBefore{others: a.where(func(n *note) bool { return n.role != accompaniment && n.leftOut == "" && !n.grace() })}
	tunes := a.with(tune)
	for i, strike := range strikes {
		n := strike[0]
		m := &moments[i]
		*m = moment{
			onset: n.Onset, at: n.at, even: n.even, way: n.way, tower: a.tower,
			handNotes: a.tower.Player.HandNotes, most: n.way.limit(n.way.most + easier.most), figures: a.figures, ease: easier.time,
		}
		beat, next := a.beatAround(n.Onset)
		m.holds = beat == n.Onset && (i+1 == len(strikes) || next.Less(strikes[i+1][0].Onset))
		m.melody, m.sings = melody[n.Onset]
		before, after := 1e9, 1e9
		if i > 0 {
			before = n.at - strikes[i-1][0].at
		}
		if i+1 < len(strikes) {
			after = strikes[i+1][0].at - n.at
		}
		if min(before, after) >= playing.Slow*easier.time {
			m.handNotes, m.most = a.tower.Player.SlowHandNotes, n.way.limit(n.way.mostSlow+easier.mostSlow)
			if !m.sings {
				m.echo = m.echoes(tunes)
			}
		}
		a.seats(m)
		m.melodyLine = a.lineHand(m, tunes)
		m.room = a.roomBeside(m.way, m.melody, m.sings)
		chord, others := a.chordAt(n.Onset).Chord, classesOf(m.others)
		m.tones = tonesOf(strike, chord, others)
		m.all = m.lost(0)
		if m.sings && len(m.tones) > 1 { // what it holds is heard, as if it were struck again
			m.tones = tonesOf(strike, chord, others.With(m.melody.high%12))
		}
		m.unison = a.unison(m)
		if n.way.bass == kept && m.tones[0].rank > seventh { // third and seventh stay, wherever
			m.fromBass = a.fromBass(strike, beat)
		}
		if m.hands == 2 && len(m.tones) > 1 && m.tones[1].rank <= seventh {
			m.most = max(m.most, n.way.limit(2+easier.most)) // one for each hand
		}
		had.order(m, beat)
	}
	return moments
}

// fromBass is the key on which a strike of one note after a beat goes on by a step from the bass in
// the pedals there, as in the source; 0 where it does not.
func (a *arrangement) fromBass(strike []*note, beat score.Time) int {
	if n := strike[0]; len(strike) == 1 && n.Onset != beat {
		for _, b := range a.struckAt(beat) {
			if b.role == bass && stepApart(n.Pitch.MIDI(), b.Pitch.MIDI()) {
				return b.key() + n.Pitch.MIDI() - b.Pitch.MIDI()
			}
		}
	}
	return 0
}

// unison is the note of a moment that has the melody's pitch, the first of its class.
func (a *arrangement) unison(m *moment) *note {
	for _, n := range a.struckAt(m.onset) {
		for _, tone := range m.tones {
			if n.role == tune && tone.notes[0].Pitch.MIDI() == n.Pitch.MIDI() {
				return tone.notes[0]
			}
		}
	}
	return nil
}

// seats finds out which hands are free and what melody and bass strike at the
// moment.
func (a *arrangement) seats(m *moment) {
	if m.sings && m.melody.seat != feet {
		m.melodyHand = m.melody.seat
	}
	for _, n := range a.struckAt(m.onset) {
		if n.seat == nowhere || n.role == accompaniment {
			continue
		}
		m.others = append(m.others, n.key())
		if n.role == bass {
			m.bass = n.key()
		}
		if n.role == tune && n.seat != feet {
			m.melodyHand, m.melodyKey = n.seat, n.key()
		}
	}
	m.hands = 2
	if m.melodyHand != nowhere {
		m.hands = 1
	}
}

// lineHand is the hand that has the melody at a moment, or whose line waits for it
// while it takes a breath: what the accompaniment struck there would read as the tune.
func (a *arrangement) lineHand(m *moment, tunes []*note) seat {
	around, after := tuneAround(tunes, m.onset)
	if m.melodyHand != nowhere || len(around) == 0 || around[0].sits() == feet || around[0].home != around[len(around)-1].home {
		return m.melodyHand
	}
	from, to := a.starts[0], a.starts[len(a.starts)-1]
	if after > 0 {
		from = tunes[after-1].End()
	}
	if after < len(tunes) {
		to = tunes[after].Onset
	}
	if in := a.measureAt(m.onset); !to.Sub(from).Less(a.starts[in+1].Sub(a.starts[in])) {
		return nowhere
	}
	return around[0].home
}

// room is where the accompaniment may lie.
type room struct {
	low, high int
	lowest    int // where third and seventh may lie, at need
}

// roomBeside is the room in a way that is clear of a range of the melody, if any of it
// sounds. Under it third and seventh may go as low as there are keys, where they have no
// other.
func (a *arrangement) roomBeside(w *way, melody keyRange, sings bool) room {
	r := room{low: handsLow, high: a.tower.Manual.High()}
	if !w.above {
		r.low = handsUnderLow
	}
	switch {
	case !sings:
	case w.above:
		r.low = max(r.low, melody.high+1)
	default:
		r.high = min(r.high, melody.low-1)
		r.low = min(r.low, max(a.tower.Manual.Low(), r.high-leastRoom))
	}
	r.lowest = r.low
	if !w.above {
		r.lowest = a.tower.Manual.Low()
	}
	return r
}

// tonesOf parts a strike into its pitch classes, the most needed first. What
// the melody or the bass has already is a doubling.
func tonesOf(strike []*note, chord score.ChordSymbol, others harmony.Classes) []chordTone {
	var tones []chordTone
	for _, n := range slices.Backward(strike) {
		class := n.Pitch.Class()
		i := slices.IndexFunc(tones, func(t chordTone) bool { return t.notes[0].Pitch.Class() == class })
		if i >= 0 {
			tones[i].notes = append(tones[i].notes, n)
			continue
		}
		rank := rankIn(class, chord)
		if others.Has(class) {
			rank = doubled
		}
		tones = append(tones, chordTone{[]*note{n}, rank})
	}
	slices.SortStableFunc(tones, func(x, y chordTone) int { return cmp.Compare(x.rank, y.rank) })
	return tones
}
