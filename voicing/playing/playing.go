package playing

import (
	"undersong/instrument"
)

// Slow is the time in seconds that a hand has before and after a stroke in
// what is called a slow passage, where it may play more notes at once and leap
// far ("two per hand only in slow passages", J. Gouwens, "Playing the
// Carillon", App. B; "quick leaps of an octave and more" are hard, Arts at
// Michigan, "Arranging for the Carillon", 2022). The figure is the project's
// own: none was found in print.
const Slow = 0.45

// Limb is a hand or a foot.
type Limb int8

// The limbs. Nobody is for a stroke that has no key.
const (
	Nobody Limb = iota
	LeftHand
	RightHand
	LeftFoot
	RightFoot
)

func (l Limb) String() string {
	return [...]string{"nobody", "left hand", "right hand", "left foot", "right foot"}[l]
}

// Stroke is one note as it is struck.
type Stroke struct {
	At    float64 // in seconds; strokes of the very same time are struck together
	Key   int     // MIDI number as written
	Pedal bool    // on the pedals, not on the manual
	Wants Limb    // who is to play it if that costs little; Nobody leaves it open
}

// Assignment is who plays what.
type Assignment struct {
	// Limbs has one for each stroke. Of a key that is struck on the manual and
	// on the pedals at once, both strokes are the foot's: they are one.
	Limbs    []Limb
	Problems []Problem // in time order; of one moment by reason
}

// Playable tells whether every stroke can be played, be it hard.
func (a *Assignment) Playable() bool {
	for _, p := range a.Problems {
		if p.Reason != Leap {
			return false
		}
	}
	return true
}

// Reason is why something cannot be played.
type Reason int8

// The reasons, with what Value and Limit of a [Problem] hold.
const (
	// NoKey: the keyboard lacks the key. No values.
	NoKey Reason = iota
	// TooMany: more notes at once than the limbs, or the player, take. Notes.
	TooMany
	// TooWide: a hand would have to reach too far. Millimetres.
	TooWide
	// TooFarApart: the hands, or the feet, would be too far from each other.
	// Millimetres.
	TooFarApart
	// Moving: a hand would strike several notes though it has no time for more
	// than [Player] has for one that moves. Seconds, Limit is Slow.
	Moving
	// TooSoon: neither limb gets there in time. Seconds.
	TooSoon
	// Repeated: the bell's clapper is not back yet. Seconds.
	Repeated
	// Leap: a quick leap, hard but not impossible. Millimetres.
	Leap
)

// Impossible tells whether no player can do it, as against what is only hard.
func (r Reason) Impossible() bool { return r != Leap }

func (r Reason) String() string {
	return [...]string{
		"no key", "too many notes", "too wide", "too far apart", "no time for several notes", "too soon", "repeated too soon", "quick leap",
	}[r]
}

// Problem is something that cannot be played as it stands.
type Problem struct {
	Reason Reason
	Limb   Limb // whose it is as assigned; Nobody where it is of several
	Pedals bool // it is of the feet, not of the hands
	// Strokes are the indexes of what is involved, in time order: of TooSoon,
	// Moving, Repeated and Leap first those that the limb or bell comes from.
	Strokes      []int
	Value, Limit float64
}

// Player is the limits of a tower and of who plays it, worked out once. It may
// be used by several goroutines.
type Player struct {
	tower       *instrument.Tower
	hands, feet pair
	repeat      [128]float64 // by key
}
