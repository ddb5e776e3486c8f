// Package midifile writes what is played of a score as a Standard MIDI File of
// format 1 (International MIDI Association, "Standard MIDI Files 1.0" and the
// text of its revision 1.1): first a track with the tempo map, the time
// signatures and the rehearsal marks, then a track for each staff.
//
// It knows no towers: which number a stroke sounds at and how hard it is comes
// from the caller. It reads no MIDI files and opens none.
package midifile
