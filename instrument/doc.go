// Package instrument describes a tower: which bells it has, which of them the
// hands and the feet reach, what a player can do there, and how its bells
// sound together.
//
// A [Tower] comes from [Named], one of the profiles in folder profiles, or
// from [Read], a player's own file in the same format. Everything in it is
// data; the profile "47" holds every value with its source. Keys and pedals
// are MIDI numbers as written (middle C is 60), whatever the tower sounds.
//
// The package decides nothing about music: which notes to play on the tower,
// and whether it will sound well, is for package voicing. It opens no files.
package instrument
