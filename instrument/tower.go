package instrument

import "undersong/instrument/acoustic"

// Tower is what one carillon, and who plays it, can do.
type Tower struct {
	Name string

	// Manual is the keys that the hands play, Pedals those that the feet do.
	// A pedal pulls down the manual key of the same number: both at once are
	// one stroke.
	Manual, Pedals Compass

	// Transposition is how many semitones the bells sound above the octave
	// of what is written: see [Tower.SoundingOffset].
	Transposition int

	// Dynamics is the change of loudness from one dynamic mark to the next,
	// in dB.
	Dynamics float64

	Casting Casting
	Player  Player
}

// Casting is how the bells were made, which decides their weight and sound.
type Casting struct {
	// Bourdon is the mass of the lowest bell in kg, 0 to take it from its
	// pitch.
	Bourdon float64
	// SmallBells is how heavily the bells above C5 are cast: 0 by the law of
	// the large ones, 1 and 2 as in two published series.
	SmallBells float64
	// Ring multiplies the time that the bells ring.
	Ring float64
	// LowPartials are those of a bell that sounds G4 or lower, HighPartials
	// of the others.
	LowPartials, HighPartials []acoustic.Partial
}

// SoundingOffset is the number of semitones from a key to what its bell
// sounds: an octave, as every carillon sounds, and the transposition.
//
// In the transpose element of MusicXML it is what chromatic and twelve times
// octave-change add up to.
func (t *Tower) SoundingOffset() int { return 12 + t.Transposition }
