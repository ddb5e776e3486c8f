package voicing

import (
	"undersong/instrument"
	"undersong/voicing/ringing"
)

// figures are what a tower says of its keys and pedals, worked out once. Keys are
// MIDI numbers.
type figures struct {
	heard  [128]float64      // how long a stroke is within 20 dB of itself, in seconds
	loud   [128]float64      // how long it is heard beside another stroke, in seconds
	level  [128]float64      // of a stroke at mf, in dB
	repeat [128]float64      // least time between two strokes of the bell
	hand   [128][128]float64 // least time from a stroke of one hand to its next
	way    [128][128]float64 // between two keys, in mm
}

func newFigures(t *instrument.Tower) *figures {
	f := &figures{}
	for key := range t.Manual.Keys() {
		f.heard[key] = t.Bell(key).Heard(20)
		f.loud[key] = ringing.Loud(t, key)
		f.level[key] = t.Level(key, 0)
		f.repeat[key] = t.RepeatTime(key)
		for to := range t.Manual.Keys() {
			f.hand[key][to] = t.HandTime(key, to)
			f.way[key][to] = t.Player.ManualDistance(key, to)
		}
	}
	return f
}
