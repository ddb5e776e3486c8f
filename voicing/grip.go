package voicing

import (
	"cmp"
	"slices"

	"undersong/instrument"
	"undersong/voicing/playing"
)

// grip is what the hands strike of the accompaniment at one moment: up to
// maxGrip keys from low to high, and for each the tone that it stands for.
type grip struct {
	keys  [maxGrip]int
	tones [maxGrip]int // indexes of the moment's tones
	n     int
	cost  float64
	// doubles is set where one of the tones is the melody's own.
	doubles bool
}

// maxGrip is two notes for each hand (City of Mechelen).
const maxGrip = 4

// What a grip costs. The figures are the project's own; of the order that
// thinning follows see degreeRank.
const (
	gripOffCost    = 0.6 // each octave that a note is away from where it is wanted
	gripFarCost    = 1.0 // each octave beyond two: a bass is no treble note
	gripHighCost   = 1.0 // each octave above the keys that carry
	gripTightCost  = 2.0 // two notes closer than is clear in their register
	gripTouchCost  = 2.0 // a note next to the melody's
	gripClashCost  = 9.0 // a semitone from it, which sounds worst of all
	gripBesideCost = 5.0 // notes in the melody's own hand, as loud or read as the tune: more than all but third and seventh are worth
	gripLowCost    = 1.0 // each semitone under the keys for the hands
	gripApartCost  = 1.0 // each octave away from a melody that it should cover
	gripLooseCost  = 0.3 // each octave between the lowest and the highest note
	gripLeapCost   = 1.0 // each octave that the top line's interval grows by
	gripMoveCost   = 0.4 // each octave that inner notes move
	gripSoonCost   = 8.0 // a stroke that comes sooner than the hands can
	gripRepeatCost = 4.0 // a bell struck again before its clapper is back
	gripLimpCost   = 3.0 // an even figure misses a stroke
	gripTornCost   = 9.0 // a note that goes on from the bass is in another octave: more than any tone is worth
	gripSilentCost = 2.0 // a beat and the next have nothing, where the source holds a chord
	gripBreakCost  = 2.0 // a doubling of the melody that breaks off, or begins, while the source doubles it
	gripQuickCost  = 2.0 // a quick leap of the only free hand, as in package playing
)

// lostCost is what leaving out a tone costs, by what it is in the chord.
var lostCost = [...]float64{third: 8, seventh: 7, alteredFifth: 4, addedTone: 3, chordRoot: 3, fifth: 1.5, doubled: 0.5}

const (
	// tightLow and seconds say how high close notes have to lie: thirds above
	// E4, seconds above C5. "Close notes only high" is common practice, no
	// source; the two keys are the project's own figures.
	tightLow   = 64
	secondsLow = 72
	// fourth is how far apart two notes of one hand may be, in semitones
	// (J. Gouwens, "Playing the Carillon", App. B).
	fourth = 5
	// touching is how close to the melody is too close, in semitones.
	touching = 2
)

// grips are the best ways to strike the tones of a moment, the cheapest first,
// and at the end the one that strikes nothing. tried has room for all of them, which the
// next moment takes again.
func (m *moment) grips(tried *[]grip) []grip {
	all := (*tried)[:0]
	for range m.tones {
		for n := min(m.most, len(m.tones)); n > 0; n-- {
			all = m.fill(all, grip{}, n, 0)
			if len(all) > 0 && n < m.most {
				break // one note fewer is tried, less only where more do not fit
			}
		}
		if len(all) > 0 {
			break
		}
		m.tones = append(m.tones[1:len(m.tones):len(m.tones)], m.tones[0]) // there is no key for it here
	}
	slices.SortStableFunc(all, func(x, y grip) int { return cmp.Compare(x.cost, y.cost) })
	*tried = all
	const beam = 12
	return slices.Concat(all[:min(len(all), beam)], []grip{{cost: m.silence()}})
}

// fill extends a grip, which has the first tones on keys, to n tones in all
// ways that the moment allows.
func (m *moment) fill(all []grip, g grip, n, next int) []grip {
	if next == n {
		if m.allows(&g) {
			g.cost = m.cost(&g)
			g.doubles = m.unison != nil && slices.ContainsFunc(g.tones[:g.n], func(tone int) bool { return m.tones[tone].notes[0] == m.unison })
			all = append(all, g)
		}
		return all
	}
	low := m.lowFor(m.tones[next].rank)
	class := m.tones[next].notes[0].Pitch.Class()
	for key := low + (class-low%12+12)%12; key <= m.high; key += 12 {
		if m.tower.Manual.Has(key) {
			all = m.fill(all, g.with(key, next), n, next+1)
		}
	}
	return all
}

// lowFor is the lowest key for a tone of that rank.
func (r room) lowFor(rank degreeRank) int {
	if rank <= seventh {
		return r.lowest
	}
	return r.low
}

// with is g and one key more.
func (g grip) with(key, tone int) grip {
	i := g.n
	for ; i > 0 && g.keys[i-1] > key; i-- {
		g.keys[i], g.tones[i] = g.keys[i-1], g.tones[i-1]
	}
	g.keys[i], g.tones[i] = key, tone
	g.n++
	return g
}

// allows tells whether the free hands can strike g, and whether it keeps major
// thirds out of the low bells and all of the chord above its bass.
func (m *moment) allows(g *grip) bool {
	keys := g.keys[:g.n]
	for i, low := range keys {
		if slices.Contains(m.others, low) {
			return false // one stroke, not two (TowerBells.org, "Keyboard Ranges")
		}
		if low < m.bass || !m.rung.allows(low) {
			return false
		}
		for _, high := range append(keys[i+1:len(keys):len(keys)], m.others...) {
			if instrument.RoughThird(low, high) {
				return false
			}
		}
	}
	return m.spans(keys) && m.reaches(keys) && m.rests(keys[0])
}

// rests tells whether a last chord does not have its fifth lowest, where low is the lowest key of
// the hands: a six-four chord is no end.
func (m *moment) rests(low int) bool {
	under := func(key int) bool { return key < low }
	return low%12 != m.lastFifth || m.rung.bass != 0 || m.sings && m.melody.low < low || slices.ContainsFunc(m.others, under)
}

// spans tells whether the hands are no farther apart than they can be, the one
// that has the melody included.
func (m *moment) spans(keys []int) bool {
	low, high := keys[0], keys[len(keys)-1]
	if m.melodyKey != 0 {
		low, high = min(low, m.melodyKey), max(high, m.melodyKey)
	}
	return m.figures.way[low][high] <= m.tower.Player.HandsReach
}

// reaches tells whether the keys can be shared between the free hands.
func (m *moment) reaches(keys []int) bool {
	for left := 0; left <= len(keys); left++ {
		if m.handTakes(leftHand, keys[:left]) && m.handTakes(rightHand, keys[left:]) {
			return true
		}
	}
	return false
}

// handTakes tells whether one hand can strike these keys, with the melody's
// where that is its own. Nothing is above the melody in its hand, which strikes
// alike, so that the upper note would be heard for it.
func (m *moment) handTakes(hand seat, keys []int) bool {
	low, high, n := 0, 0, len(keys)
	if n == 0 {
		return true
	}
	low, high = keys[0], keys[n-1]
	if m.melodyHand == hand {
		if m.melodyKey == 0 || high > m.melodyKey {
			return false
		}
		low, high, n = min(low, m.melodyKey), max(high, m.melodyKey), n+1
	}
	return n <= m.handNotes && high-low <= fourth && m.figures.way[low][high] <= m.tower.Player.HandReach
}

// cost is what a grip costs by itself.
func (m *moment) cost(g *grip) float64 {
	sum := m.lost(g.n)
	for i, key := range g.keys[:g.n] {
		wanted := m.tones[g.tones[i]].notes[0].Pitch.MIDI() + 12*m.way.want
		sum += (gripOffCost*float64(abs(key-wanted)) + gripFarCost*float64(max(0, abs(key-wanted)-24)) + gripHighCost*float64(max(0, key-carries))) / 12
		sum += gripLowCost * float64(max(0, m.low-key))
		if i > 0 {
			sum += tightness(g.keys[i-1], key)
		}
		for _, o := range m.others {
			switch apart := abs(o - key); {
			case apart == 1:
				sum += gripClashCost
			case apart <= touching:
				sum += gripTouchCost
			}
		}
		if m.fromBass != 0 && key != m.fromBass {
			sum += gripTornCost
		}
		if slices.Contains(m.echo, key) {
			sum += gripEchoCost
		}
		if m.way.close && m.sings {
			sum += gripApartCost * float64(max(0, key-m.melody.high-9)) / 12
		}
	}
	if m.melodyLine != nowhere && !m.handTakes(m.melodyLine.other(), g.keys[:g.n]) {
		sum += gripBesideCost
	}
	if g.n > 1 {
		sum += gripLooseCost * float64(g.keys[g.n-1]-g.keys[0]) / 12
	}
	return sum
}

// tightness is the cost of two notes too close for their register.
func tightness(low, high int) float64 {
	switch apart := high - low; {
	case apart <= 2 && low < secondsLow, apart <= 4 && low < tightLow:
		return gripTightCost
	}
	return 0
}

// silence is what it costs to strike nothing.
func (m *moment) silence() float64 {
	cost := m.all
	if m.even {
		cost += gripLimpCost
	}
	if m.holds && m.tones[0].rank < doubled {
		cost += gripSilentCost
	}
	return cost
}

// lost is the cost of the tones that a grip of the first n leaves out.
func (m *moment) lost(n int) float64 {
	sum := 0.0
	for _, t := range m.tones[n:] {
		sum += lostCost[t.rank]
	}
	return sum
}

// moveCost is what it costs to strike g after f.
func (m *moment) moveCost(before *moment, f, g *grip) float64 {
	sum := 0.0
	if f.doubles != g.doubles && m.goesOn(before) {
		sum += gripBreakCost
	}
	if f.n == 0 || g.n == 0 {
		return sum
	}
	apart := m.at - before.at
	sum += m.leap(before, f, g)
	for _, key := range g.keys[:g.n] {
		nearest := 127
		for _, from := range f.keys[:f.n] {
			nearest = min(nearest, abs(key-from))
			if key == from && apart < m.ease*m.figures.repeat[key] {
				sum += gripRepeatCost
			}
		}
		sum += gripMoveCost * float64(nearest) / 12
	}
	top := m.ease * m.figures.hand[f.keys[f.n-1]][g.keys[g.n-1]]
	if m.hands == 2 {
		top /= 2 // the hands take turns
	} else if apart < playing.Slow && m.handWay(f, g) > m.tower.Player.HandLeap {
		sum += gripQuickCost
	}
	if apart < top {
		sum += gripSoonCost
	}
	return sum
}

// goesOn tells whether the source goes on doubling the melody as it did before: either
// with nothing beside it, or over a chord.
func (m *moment) goesOn(before *moment) bool {
	return m.unison != nil && before.unison != nil && (len(m.tones) == 1) == (len(before.tones) == 1)
}

// handWay is how far a hand goes from f to g, in mm.
func (m *moment) handWay(f, g *grip) float64 {
	return min(m.figures.way[f.keys[0]][g.keys[0]], m.figures.way[f.keys[f.n-1]][g.keys[g.n-1]])
}

// leap is the cost of an interval of the top line that is not the source's, as
// long as the line stays in one voice of the source and is no jump between
// bass and chord.
func (m *moment) leap(before *moment, f, g *grip) float64 {
	from := before.tones[f.tones[f.n-1]].notes[0]
	to := m.tones[g.tones[g.n-1]].notes[0]
	source := to.Pitch.MIDI() - from.Pitch.MIDI()
	if from.Part != to.Part || from.First().Voice != to.First().Voice || abs(source) > 12 {
		return 0
	}
	return gripLeapCost * float64(abs(g.keys[g.n-1]-f.keys[f.n-1]-source)) / 12
}
