package voicing

import (
	"cmp"
	"slices"

	"undersong/score"
	"undersong/voicing/playing"
)

// The reasons for which the melody minds a place.
const (
	offOctave = iota
	otherSeat
	stumble
	helped
	noRoom // from here on comforts
	ringsOn
	faint
	lowForHand
	reasons
)

// minded is what each reason costs, and what a finding says would be so if the
// melody stayed in its octave. The figures are the project's own; what matters
// is their order.
var minded = [reasons]struct {
	cost float64
	stay string
}{
	offOctave:  {1.0, "it would not be where this voicing wants it"}, // each octave away
	otherSeat:  {2.5, "it would not be where this voicing wants it"}, // a seat that is not the wanted one
	stumble:    {120, "it could not be struck in time"},              // a stroke that comes sooner than the limb can, by the part that it lacks of the time
	helped:     {8, "a hand would have to help the feet"},            // a stroke that a hand has to take over from the feet
	noRoom:     {0.5, "the accompaniment would lack room"},           // each semitone that it lacks above or below
	ringsOn:    {0.4, "too much of it would ring at once"},           // each note beyond crowd that still rings
	faint:      {0.5, "its bells would be faint"},                    // each octave above the keys that carry a melody
	lowForHand: {0.25, "it would lie low for a hand"},                // each semitone under the keys for the hands
}

// What a change of octave or seat costs between phrases of one section, between those of
// one interlude, which is short and heard as one, and between
// sections, which may well differ: a change by two octaves four times as much, since
// the line is torn more than twice. The figures are the project's own.
const (
	atBreathCost    = 24.0
	inInterludeCost = 96.0
	atSectionCost   = 12.0
)

// change is what it costs, by these figures, to go from one place to another.
func change(each float64, from, to place) float64 {
	if from == to {
		return 0
	}
	far := float64(max(1, abs(to.octaves-from.octaves)))
	return each * far * far
}

// anyLate is as what part of its time a stroke counts that comes too soon, however
// little. The project's own figure.
const anyLate = 0.15

// mostHelped is how many strokes of a phrase in the pedals a hand may take over: with
// more of them it is no longer the feet that have the line. The project's own figure.
const mostHelped = 2

// lostTuneCost is what it costs that a note of the melody has no key anywhere: more
// than all else about it.
const lostTuneCost = 500

// askedFor is by how much more each octave away counts where a person has asked for
// one.
const askedFor = 5

// counts are how often a stretch of the melody minds a place, by reason.
type counts [reasons]float64

// cost is what they cost together.
func (c counts) cost() float64 {
	sum := 0.0
	for reason, often := range c {
		sum += minded[reason].cost * often
	}
	return sum
}

// trouble is what they cost at a place but for comforts. To the hands an octave is one, too,
// but not half of the room that the accompaniment lacks where a tune lies lower than it should.
func (c counts) trouble(w *way, at place) float64 {
	clear(c[ringsOn:])
	if w.melody[0] != feet {
		c[offOctave] = 0
	}
	if w.melody[0] != feet && at.octaves < w.melodyWant {
		c[noRoom] /= 2
	} else {
		c[noRoom] = 0
	}
	return c.cost()
}

const (
	// room is what the accompaniment wants above or below the melody, in
	// semitones: a twelfth for hands that play chords, a tenth for one that plays
	// broken ones. A tune that lies too low for that goes up, where the bells blur
	// less: over the shared scores, plain, the tenth left 53 muddy measures, an octave
	// 64.
	roomAbove, roomBelow = 19, 16
	// roomForPedals is what a melody in the left hand leaves from the lowest pedal on, in
	// semitones, for those that are struck under it: a sixth, since they keep a fourth away.
	// Over the shared scores and pieces for piano on 47 bells so many are struck as 613 for
	// 507 without, and 59 measures blur for 91.
	roomForPedals = 9
	// crowd is how many notes of the melody may still ring, 20 dB weaker or
	// less, before they count as a blur.
	crowd = 8
	// carries is the highest key that carries a melody over bass notes: the
	// top octave of a big instrument does not (common practice, no source).
	carries = 84
)

// The lowest keys for the hands. Manual writing rarely ventures below middle
// C: heavier clappers are better moved by the foot (J. Gouwens, "Playing the
// Carillon", App. B). Under a melody in the hands there is often no room
// above it, so there a fifth more is allowed; that fifth is the project's own
// figure.
const (
	handsLow      = 60
	handsUnderLow = 53
)

// place is a seat and a move by octaves.
type place struct {
	seat    seat
	octaves int
}

// weighed is a place with what it costs.
type weighed struct {
	place
	cost float64
	trial
	tried bool // or cost is the least that it can be
}

// trial is how a stretch of the melody is played at a place.
type trial struct {
	helped []*note // strokes that a hand takes over from the feet
	late   []*note // strokes that come too soon even so
	short  float64 // each by the part that it lacks of its time, and anyLate, together
	slow   bool    // none does in the slowest tempo that may be assumed, but one in the usual one
}

// farthest is the largest move by octaves that is considered.
const farthest = 5

// placing is a way to place the whole melody: what it falls into, and the place of
// each of these.
type placing struct {
	stretches [][]*note
	chosen    []weighed
	// tempo, in quarter notes a minute, is assumed for it; 0 keeps the score's.
	tempo float64
	// trouble is what this costs but for comforts.
	trouble float64
}

// placeMelody puts the melody into its seat by whole octaves, a phrase always
// alike. Which seat and octave each phrase gets is one decision over the whole
// piece by the costs above.
func (a *arrangement) placeMelody() {
	placed := a.placing()
	a.trouble = placed.trouble
	a.slowDown(placed.tempo)
	a.seatTune(placed)
	a.tellPlaces(placed.stretches)
	a.placeInterludes(placed)
	a.untangle()
	a.tellHelp()
}

// seatTune puts notes where they are placed.
func (a *arrangement) seatTune(placed *placing) {
	placed.seat()
	for i, stretch := range placed.stretches {
		for _, n := range stretch {
			a.moved(n)
		}
		for _, n := range placed.chosen[i].helped {
			n.seat, n.home, n.helped = leftHand, leftHand, true
		}
	}
}

// seat gives notes the seat and the octave of their stretch.
func (p *placing) seat() {
	for i, stretch := range p.stretches {
		at := p.chosen[i]
		for _, n := range stretch {
			n.seat, n.home, n.octaves = at.seat, at.seat, at.octaves
		}
	}
}

// tellPlaces reports what a person should know of the place of these stretches.
func (a *arrangement) tellPlaces(stretches [][]*note) {
	a.tellBreaks(stretches)
	a.tellSeats(stretches)
	a.tellOctaves(stretches)
}

// open is a stretch of a tune and where it might go.
type open struct {
	notes  []*note
	places []weighed
}

// placing finds the place of every stretch of the melody. What has no key in any
// octave is left out.
func (a *arrangement) placing() *placing {
	stretches, lost := a.openStretches(a.phrases(a.melody()))
	placed := a.choosePlaces(stretches)
	placed.trouble += lostTuneCost * float64(lost)
	return placed
}

// openStretches are the stretches that phrases fall into, with the places that hold them. What has
// no key in any octave is left out, and counted.
func (a *arrangement) openStretches(phrases [][]*note) (stretches []open, lost int) {
	for _, phrase := range phrases {
		for len(phrase) > 0 {
			n, places := a.longest(phrase)
			if n > 0 {
				stretches = append(stretches, open{phrase[:n], a.weigh(phrase[:n], places)})
			} else {
				n = 1
				a.finding(phrase[0], "%s of the %s has no key in any octave", phrase[0].Pitch, phrase[0].does())
				a.leaveOut(phrase[0], "no key in any octave")
				lost++
			}
			phrase = phrase[n:]
		}
	}
	return stretches, lost
}

// choosePlaces gives each of some stretches, in time order, one of its places: the row of
// places that costs least.
func (a *arrangement) choosePlaces(stretches []open) *placing {
	placed := &placing{}
	var options [][]weighed
	for _, s := range stretches {
		placed.stretches, options = append(placed.stretches, s.notes), append(options, s.places)
	}
	own := func(_ int, to *weighed) float64 { return to.cost }
	move := func(i int, from, to *weighed) float64 {
		before, after := placed.stretches[i-1][0].way, placed.stretches[i][0].way
		switch {
		case before == after && placed.stretches[i-1][0].interlude && placed.stretches[i][0].interlude:
			return change(inInterludeCost, from.place, to.place)
		case before == after:
			return change(atBreathCost, from.place, to.place)
		case before.octaveAsked || after.octaveAsked:
			return 0 // as it was asked for, and only there
		}
		return change(atSectionCost, from.place, to.place)
	}
	path := cheapest(options, own, move)
	for a.tryChosen(placed.stretches, options, path) {
		path = cheapest(options, own, move)
	}
	for i, k := range path {
		placed.chosen = append(placed.chosen, options[i][k])
	}
	a.slower(placed)
	for i, w := range placed.chosen {
		placed.trouble += a.mindsAll(placed.stretches[i], w).trouble(placed.stretches[i][0].way, w.place)
		if i > 0 {
			placed.trouble += move(i, &placed.chosen[i-1], &placed.chosen[i])
		}
	}
	return placed
}

// tellOctaves reports where the melody could not go to the octave that a person
// has asked for.
func (a *arrangement) tellOctaves(stretches [][]*note) {
	for i, stretch := range stretches {
		n := stretch[0]
		if !n.way.octaveAsked || n.octaves == n.way.melodyWant || i > 0 && stretches[i-1][0].way == n.way && stretches[i-1][0].octaves == n.octaves {
			continue
		}
		a.finding(n, "the %s is %s and not into the octave that is asked for: %s", n.does(), moved(n.octaves), a.whyNot(stretches[i:], place{n.sits(), n.way.melodyWant}))
	}
}

// tellSeats reports how much of a tune is not in the pedals where its voicing wants it, how
// much lies higher than written, and how much lower where it should stay, and why the first
// of it does.
func (a *arrangement) tellSeats(stretches [][]*note) {
	t := telling{a, stretches, a.phraseNumbers(stretches), a.misplaced(stretches)}
	t.tellPhrases(func(w *way) bool { return w.melody[0] == feet }, func(n *note) bool { return n.sits() != feet },
		"goes to the left hand and not into the pedals", "go to the left hand and not into the pedals")
	t.tellPhrases(func(w *way) bool { return !w.octaveAsked }, func(n *note) bool { return n.sits() == n.way.melody[0] && n.octaves > 0 },
		"lies higher than written, on lighter bells", "lie higher than written, on lighter bells")
	t.tellPhrases(func(w *way) bool { return w.melodyWant == 0 && !w.octaveAsked && !w.alone }, func(n *note) bool { return n.sits() == n.way.melody[0] && n.octaves < 0 },
		"lies lower than written, with less room for the accompaniment", "lie lower than written, with less room for the accompaniment")
}

// phraseNumbers number the phrases that stretches are of, by the first note of each stretch.
func (a *arrangement) phraseNumbers(stretches [][]*note) map[*note]int {
	ends, phrase, number := a.phraseEnds(), map[*note]int{}, 0
	for i, stretch := range stretches {
		if i > 0 && ends[stretches[i-1][len(stretches[i-1])-1]] {
			number++
		}
		phrase[stretch[0]] = number
	}
	return phrase
}

// telling is what is told of stretches of a tune that are not where their voicings want them.
type telling struct {
	*arrangement
	stretches [][]*note
	phrase    map[*note]int // of each stretch, by its first note
	all       []misplaced
}

// tellPhrases reports how many phrases of those that are voiced in some ways are elsewhere so that
// something holds: what one of them does, what several do.
func (t *telling) tellPhrases(of func(*way) bool, is func(*note) bool, one, several string) {
	wanted, told := map[int]bool{}, map[int]bool{}
	for _, stretch := range t.stretches {
		if n := stretch[0]; of(n.way) {
			wanted[t.phrase[n]] = true
		}
	}
	var first *misplaced
	for i, e := range t.all {
		if n := e.notes[0]; of(n.way) && is(n) {
			told[t.phrase[n]] = true
			first = cmp.Or(first, &t.all[i])
		}
	}
	if first == nil {
		return
	}
	phrases, verb := score.Count(len(wanted), "phrase"), several
	if first.notes[0].interlude {
		phrases += " of the interlude"
	}
	if len(told) == 1 {
		verb = one
	}
	t.finding(first.notes[0], "%d of %s %s: %s", len(told), phrases, verb, first.why)
}

// fewHelped is how many strokes of the left hand for the feet are told one by one.
const fewHelped = 2

// tellHelp reports the strokes that a hand takes over from the feet: many in one line,
// with their measures.
func (a *arrangement) tellHelp() {
	var helped []*note
	for _, n := range a.with(tune) {
		if n.helped {
			helped = append(helped, n)
		}
	}
	if len(helped) > fewHelped {
		var in []int
		for _, n := range helped {
			in = append(in, a.measureAt(n.Onset))
		}
		a.finding(helped[0], "the left hand strikes %d notes of the %s, on the manual and with an accent: no foot can be there in time; %s", len(helped), helped[0].does(), a.measureList(in))
		return
	}
	for _, n := range helped {
		a.finding(n, "the left hand strikes %s of the %s, on the manual and with an accent: no foot can be there in time", n.placed(), n.does())
	}
}

// untangle ends a note of the tune where the next one begins: one limb writes
// one line.
func (a *arrangement) untangle() {
	strikes := together(a.with(tune))
	for i := 1; i < len(strikes); i++ {
		for _, n := range strikes[i-1] {
			if longest := strikes[i][0].Onset.Sub(n.Onset); longest.Less(n.written) {
				n.written = longest
				a.relengthened(n)
			}
		}
	}
}

// phraseEnds are the last notes of phrases, of interludes too.
func (a *arrangement) phraseEnds() map[*note]bool {
	ends := map[*note]bool{}
	for _, line := range append(slices.Clone(a.line.Interludes), a.line) {
		for _, p := range line.Phrases {
			ends[&a.byTone[line.Tones[p.Last-1]]] = true
		}
	}
	return ends
}

// phrases are notes of the tune, with the grace notes that lead to them, phrase by
// phrase, and parted where the voicing changes. To a phrase belongs what it goes on with
// over a jump.
func (a *arrangement) phrases(notes []*note) [][]*note {
	ends := a.phraseEnds()
	var phrases [][]*note
	first, last := map[int]int{}, map[int]int{} // phrase of each measure
	var before *note                            // in the phrase
	for _, n := range notes {
		if before == nil || before.way != n.way {
			phrases = append(phrases, nil)
		}
		at, in := len(phrases)-1, a.measureAt(n.Onset)
		phrases[at] = append(phrases[at], n)
		if _, known := first[in]; !known {
			first[in] = at
		}
		last[in] = at
		if before = n; ends[n] {
			before = nil
		}
	}
	return a.overJumps(phrases, first, last)
}

// overJumps joins phrases, of which measures have a first and a last, over jumps: another
// ending with what went on into the one before it, and the pickup at the end of a repeat
// with what it leads back to.
func (a *arrangement) overJumps(phrases [][]*note, first, last map[int]int) [][]*note {
	order, err := a.source.Performance()
	if err != nil {
		return phrases // it is voiced as it is written
	}
	to := map[int]int{} // phrases that are joined to others
	join := func(p, with int) {
		if other, joined := to[with]; joined {
			with = other
		}
		if _, joined := to[p]; !joined && p != with && phrases[p][0].way == phrases[with][0].way {
			to[p] = with
		}
	}
	for i := 1; i < len(order); i++ {
		from, at := order[i-1].Measure, order[i].Measure
		leaves, here := last[from]
		arrives, there := first[at]
		next, on := first[from+1]
		switch {
		case !here || !there || at == from+1:
		case at > from && on && next == leaves:
			join(arrives, leaves)
		case at <= from && first[from] != leaves:
			join(leaves, arrives)
		}
	}
	for i := range phrases {
		if with, joined := to[i]; joined {
			phrases[with] = append(phrases[with], phrases[i]...)
			phrases[i] = nil
		}
	}
	return slices.DeleteFunc(phrases, func(p []*note) bool { return p == nil })
}

// longest is the longest beginning of a phrase that some seat and octave hold,
// and which do.
func (a *arrangement) longest(phrase []*note) (n int, places []place) {
	for _, s := range phrase[0].way.melody {
		for octaves := -farthest; octaves <= farthest; octaves++ {
			held := 0
			for held < len(phrase) && a.keys(s).Has(phrase[held].Pitch.MIDI()+12*octaves) {
				held++
			}
			if held > n {
				n, places = held, nil
			}
			if held == n && n > 0 {
				places = append(places, place{s, octaves})
			}
		}
	}
	return n, places
}

// weigh says what places cost a stretch of the melody at least: how it would be played there
// takes long to find out, and is asked of those only that are chosen.
func (a *arrangement) weigh(stretch []*note, places []place) []weighed {
	all := make([]weighed, len(places))
	for i, at := range places {
		all[i] = weighed{place: at, cost: a.minds(stretch, at).cost()}
	}
	return all
}

// tryChosen tries the chosen places that were not tried yet, and tells whether there were any:
// they may cost more now.
func (a *arrangement) tryChosen(stretches [][]*note, options [][]weighed, path []int) (any bool) {
	for i, k := range path {
		if w := &options[i][k]; !w.tried {
			w.trial, w.tried, any = a.try(stretches[i], w.place), true, true
			w.cost = a.mindsAll(stretches[i], *w).cost()
		}
	}
	return any
}

// minds counts what a stretch of the melody minds about a place, but for how it is
// played there.
func (a *arrangement) minds(stretch []*note, at place) counts {
	w := stretch[0].way
	var c counts
	for i, n := range stretch {
		if n.grace() {
			continue
		}
		key := n.Pitch.MIDI() + 12*at.octaves
		off := float64(abs(at.octaves - w.melodyWant))
		if w.octaveAsked {
			off *= askedFor
		}
		c[offOctave] += off
		if at.seat != w.melody[0] {
			c[otherSeat]++
		}
		if w.above {
			c[noRoom] += float64(max(0, roomAbove-(a.tower.Manual.High()-max(key, handsLow))))
		} else {
			c[noRoom] += float64(max(0, roomBelow-(key-handsUnderLow)))
		}
		if w.bass == light {
			c[noRoom] += float64(max(0, roomForPedals-(key-a.tower.Pedals.Low())))
		}
		c[faint] += float64(max(0, key-carries)) / 12
		if at.seat != feet {
			c[lowForHand] += float64(max(0, handsLow-key))
		}
		if i > 0 {
			c[ringsOn] += max(0, a.ringing(key, n.at-stretch[i-1].at)-crowd)
		}
	}
	return c
}

// mindsAll is the same with how it is played there.
func (a *arrangement) mindsAll(stretch []*note, at weighed) counts {
	c := a.minds(stretch, at.place)
	c[stumble], c[helped] = at.short, float64(len(at.helped))
	return c
}

// ringing is how many strokes of bells like that of key, so many seconds
// apart, ring at once, those 20 dB weaker than the last not counted.
func (a *arrangement) ringing(key int, apart float64) float64 {
	if apart <= 0 {
		return 0
	}
	return a.figures.heard[key] / apart
}

// try lets a seat play a stretch: the feet in turns, with a hand's help, or a hand with
// the other one's; more slowly where that helps and the tempo is only assumed. It is
// held to the player's limits however easy the accompaniment is to be: that does not
// move the melody. For an interlude nothing becomes slower.
func (a *arrangement) try(stretch []*note, at place) trial {
	t := a.tryAt(stretch, at, 1)
	if len(t.late) > 0 && a.tempoIsOpen() && !stretch[0].interlude {
		slowest, usual, _ := a.tempi()
		if slow := a.tryAt(stretch, at, slowest/usual); len(slow.late) == 0 {
			slow.slow = true
			return slow
		}
	}
	return t
}

// tryAt does so in a part of the tempo.
func (a *arrangement) tryAt(stretch []*note, at place, tempo float64) trial {
	var notes []*note
	strokes := make([]playing.Stroke, 0, len(stretch))
	for _, n := range stretch {
		if !n.grace() {
			notes = append(notes, n)
			strokes = append(strokes, playing.Stroke{At: n.at / tempo, Key: n.Pitch.MIDI() + 12*at.octaves, Pedal: at.seat == feet})
		}
	}
	byHand, left := a.player.Helped(strokes, mostHelped)
	var t trial
	for _, i := range byHand {
		t.helped = append(t.helped, notes[i])
	}
	for _, p := range left {
		t.late = append(t.late, notes[p.Strokes[len(p.Strokes)-1]])
		t.short += anyLate + p.Short()
	}
	return t
}

// tellBreaks reports where the melody changes its octave inside a phrase, and
// the first key for want of which it could not go on, or could not begin, in
// the other one.
func (a *arrangement) tellBreaks(stretches [][]*note) {
	ends := a.phraseEnds()
	for i := 1; i < len(stretches); i++ {
		before, after := stretches[i-1], stretches[i]
		last, first := before[len(before)-1], after[0]
		if ends[last] && last.way == first.way && last.octaves != first.octaves {
			a.finding(first, "the %s is %s from here on and %s before: %s", first.does(), moved(first.octaves), moved(last.octaves), a.whyNot(stretches[i:], place{first.sits(), last.octaves}))
		}
		if ends[last] || last.way != first.way || last.octaves == first.octaves && last.sits() == first.sits() {
			continue // or it is told that the voicing changes
		}
		why := ""
		if n := a.lacking(after, placeOf(before)); n != nil {
			why = ": " + a.lacks(n, placeOf(before))
		} else if n := a.lacking(before, placeOf(after)); n != nil {
			why = ": " + a.lacks(n, placeOf(after))
		}
		a.finding(first, "the %s changes its octave inside a phrase%s", first.does(), why)
	}
}

// whyNot says why the first of these stretches is not at another place: a key that is
// not there, or what all that are placed like it would have minded most.
func (a *arrangement) whyNot(stretches [][]*note, other place) string {
	run := alike(stretches, true)
	for _, stretch := range run {
		if n := a.lacking(stretch, other); n != nil {
			return a.lacks(n, other)
		}
	}
	return a.minding(run, other)
}

// gain is how much more often stretches that are placed alike would mind another place.
func (a *arrangement) gain(stretches [][]*note, other place) (gain counts) {
	at := placeOf(stretches[0])
	for _, stretch := range stretches {
		stays := a.mindsAll(stretch, weighed{place: other, trial: a.try(stretch, other)})
		goes := a.mindsAll(stretch, weighed{place: at, trial: a.try(stretch, at)})
		for reason := range gain {
			gain[reason] += stays[reason] - goes[reason]
		}
	}
	return gain
}

// most is the reason that costs most.
func (c counts) most() int {
	most := 0
	for reason, often := range c {
		if minded[reason].cost*often > minded[most].cost*c[most] {
			most = reason
		}
	}
	return most
}

// placeOf is where a stretch is.
func placeOf(stretch []*note) place { return place{stretch[0].sits(), stretch[0].octaves} }

// moved words a move by octaves.
func moved(octaves int) string {
	if octaves == 0 {
		return "not moved"
	}
	return "moved " + octavesAway(octaves)
}

func abs(n int) int { return max(n, -n) }
