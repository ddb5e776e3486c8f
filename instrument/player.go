package instrument

import "math"

// Player is the limits of a player at the keyboards of a tower, and the size
// of these keyboards. Lengths are in mm, measured between the middles of keys.
type Player struct {
	KeySpacing   float64 `json:"key_spacing_mm"`   // from a white key of the manual to the next
	PedalSpacing float64 `json:"pedal_spacing_mm"` // the same on the pedalboard

	HandNotes     int     `json:"hand_notes"`      // notes of one hand while it moves
	SlowHandNotes int     `json:"slow_hand_notes"` // notes of one hand in slow passages
	HandReach     float64 `json:"hand_reach_mm"`   // between two notes of one hand
	HandsReach    float64 `json:"hands_reach_mm"`  // between the two hands
	HandLeap      float64 `json:"hand_leap_mm"`    // of one hand, quickly
	FootNotes     int     `json:"foot_notes"`      // pedals of one foot
	FeetReach     float64 `json:"feet_reach_mm"`   // between the two feet
	Notes         int     `json:"notes"`           // of hands and feet together

	// The time from a stroke to the next one is that of the stroke itself
	// and of the way to the other key.
	HandStroke float64 `json:"hand_stroke_s"`
	HandSpeed  float64 `json:"hand_speed_mm_s"`
	FootStroke float64 `json:"foot_stroke_s"`
	FootSpeed  float64 `json:"foot_speed_mm_s"`
	// Repeat is the least time between strokes of one bell of 1000 kg.
	Repeat float64 `json:"repeat_s"`
}

// ManualDistance is the distance in mm between two keys on the manual.
func (p Player) ManualDistance(a, b int) float64 {
	return p.KeySpacing * math.Abs(place(a)-place(b))
}

// PedalDistance is the distance in mm between two pedals.
func (p Player) PedalDistance(a, b int) float64 {
	return p.PedalSpacing * math.Abs(place(a)-place(b))
}

// HandMove is the least time in seconds from a stroke of one hand to its next, so many
// mm away, whatever the bells need.
func (p Player) HandMove(way float64) float64 { return p.HandStroke + way/p.HandSpeed }

// place counts white keys; a black key lies half-way between its neighbours.
func place(key int) float64 {
	inOctave := [...]float64{0, 0.5, 1, 1.5, 2, 3, 3.5, 4, 4.5, 5, 5.5, 6}
	octave := int(math.Floor(float64(key) / 12))
	return float64(7*octave) + inOctave[key-12*octave]
}

// HandTime is the least time in seconds from a stroke of one hand to its
// next.
func (t *Tower) HandTime(from, to int) float64 {
	return t.strokeTime(from, to, t.Player.HandMove(t.Player.ManualDistance(from, to)))
}

// FootTime is the least time in seconds from a stroke of one foot to its
// next.
func (t *Tower) FootTime(from, to int) float64 {
	way := t.Player.PedalDistance(from, to) / t.Player.FootSpeed
	return t.strokeTime(from, to, t.Player.FootStroke+way)
}

func (t *Tower) strokeTime(from, to int, limb float64) float64 {
	if from == to {
		return max(limb, t.RepeatTime(from))
	}
	return limb
}

// RepeatTime is the least time in seconds between two strokes of one bell, by
// whatever limb.
//
// "The clapper is slow to return" on heavy bells (Gouwens, "Playing the
// Carillon", App. B). No figures are published: that the clapper swings back
// like a pendulum as long as the bell is high, so that the time goes with the
// sixth root of its mass, is our choice.
func (t *Tower) RepeatTime(key int) float64 {
	return t.Player.Repeat * math.Pow(t.Bell(key).Mass/1000, 1./6)
}
