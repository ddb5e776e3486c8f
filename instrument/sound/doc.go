// Package sound makes heard what a score would sound like on a tower: which
// bells are struck, when and how loudly, and a recording of it as a WAV file,
// at the player's place or at a distance outdoors.
//
// A bell is the sum of its partials, each dying away at its own rate from the
// stroke on; nothing damps it, and a stroke on a bell that still rings is added
// to what is there. Pitch, mass, partials and ring are those of
// [instrument.Bell]. What a real bell does besides is left out: the slow beats
// of its split partials, the swing of a heavy clapper's contact, the chamber,
// louvres, echoes, ground and wind. The package decides nothing about music and
// opens no files.
package sound
