package playing

import (
	"math"

	"undersong/instrument"
)

// pair is two limbs of a kind and their keyboard.
type pair struct {
	left, right Limb
	keys        instrument.Compass
	place       [128]float64 // of a key, in mm from the lowest
	// A limb takes moving notes at a time, and slow ones where it has time.
	moving, slow int
	reach        float64 // of a limb, in mm
	apart        float64 // between the limbs, in mm
	leap         float64 // that is hard when quick, in mm
	stroke       float64 // time of a stroke, in s
	speed        float64 // on the way, in mm/s
	forget       float64 // s after which a limb may be anywhere
	costs        costs
}

// For works out the limits of a tower.
func For(t *instrument.Tower) *Player {
	p := &Player{tower: t}
	l := t.Player
	p.hands = pair{
		left: LeftHand, right: RightHand, keys: t.Manual,
		moving: l.HandNotes, slow: max(l.HandNotes, l.SlowHandNotes), reach: l.HandReach, apart: l.HandsReach,
		leap: l.HandLeap, stroke: l.HandStroke, speed: l.HandSpeed, costs: handCosts,
	}
	p.feet = pair{
		left: LeftFoot, right: RightFoot, keys: t.Pedals,
		// A foot that takes two pedals takes neighbours: the project's own reading.
		moving: l.FootNotes, slow: l.FootNotes, reach: l.PedalSpacing, apart: l.FeetReach,
		leap: math.Inf(1), stroke: l.FootStroke, speed: l.FootSpeed, costs: footCosts,
	}
	for key := range p.repeat {
		p.repeat[key] = t.RepeatTime(key)
		p.hands.place[key] = l.ManualDistance(0, key)
		p.feet.place[key] = l.PedalDistance(0, key)
	}
	p.hands.remember()
	p.feet.remember()
	return p
}

// remember sets how long a stroke matters: until the limb could be at the other
// end of the keyboard, and has had time for several notes.
func (p *pair) remember() {
	wide := p.place[p.keys.High()] - p.place[p.keys.Low()]
	p.forget = max(Slow, lately, p.stroke+wide/p.speed)
}

// grip is what one limb strikes at one time: a stretch of a moment's keys.
type grip struct {
	moment int32 // index; -1 when the limb is free and may be anywhere
	first  int16 // of the moment's keys
	n      int16
}

var free = grip{moment: -1}
