package instrument

import "slices"

// Report is a tower as data for other programs. The names of its fields in
// JSON do not change:
//
//	name             what the tower is called
//	manual, pedals   keys as MIDI numbers as written, the lowest first
//	sounding_offset  semitones from a key to what its bell sounds
//	bells            every bell, the lowest first: key, sounds (MIDI number),
//	                 frequency_hz, mass_kg, diameter_m and ring_s, the time to
//	                 60 dB below the stroke, with least and most
//	player           the limits of [Player], in mm, mm_s (mm per second) and s
type Report struct {
	Name           string `json:"name"`
	Manual         []int  `json:"manual"`
	Pedals         []int  `json:"pedals"`
	SoundingOffset int    `json:"sounding_offset"`
	Bells          []Bell `json:"bells"`
	Player         Player `json:"player"`
}

// Report is the tower as data.
func (t *Tower) Report() Report {
	return Report{
		Name:           t.Name,
		Manual:         t.Manual.slice(),
		Pedals:         t.Pedals.slice(),
		SoundingOffset: t.SoundingOffset(),
		Bells:          slices.Collect(t.Bells()),
		Player:         t.Player,
	}
}

// slice is empty, not nil, where there are no keys: in JSON it is a list.
func (c Compass) slice() []int { return slices.AppendSeq([]int{}, c.Keys()) }
