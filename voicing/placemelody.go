package voicing

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

// lostTuneCost is what it costs that a note of the melody has no key anywhere: more
// than all else about it.
const lostTuneCost = 500

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
// piece by the costs above and in minds.go.
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

// open is a stretch of a tune and where it might go.
type open struct {
	notes  []*note
	places []weighed
}

// placing finds the place of every stretch of the melody. What has no key in any
// octave is left out.
func (a *arrangement) placing() *placing {
	stretches, gone := a.openStretches(a.phrases(a.melody()))
	placed := a.choosePlaces(stretches)
	placed.trouble += lostTuneCost * float64(gone)
	return placed
}

// openStretches are the stretches that phrases fall into, with the places that hold them. What has
// no key in any octave is left out, and counted.
func (a *arrangement) openStretches(phrases [][]*note) (stretches []open, gone int) {
	for _, phrase := range phrases {
		for len(phrase) > 0 {
			n, places := a.longest(phrase)
			if n > 0 {
				stretches = append(stretches, open{phrase[:n], a.weigh(phrase[:n], places)})
			} else {
				n = 1
				a.finding(phrase[0], "%s of the %s has no key in any octave", phrase[0].Pitch, phrase[0].does())
				a.leaveOut(phrase[0], "no key in any octave")
				gone++
			}
			phrase = phrase[n:]
		}
	}
	return stretches, gone
}

// choosePlaces gives each of some stretches, in the order in which they begin, one of its places: the row of
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
