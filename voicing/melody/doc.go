// Package melody tells which notes of a score are its tune: on top, under
// other notes, in the tenor or the left hand, moving between hands, sung in a
// part of its own.
//
// Notes that the score marks, and else a sung line, are taken as they stand. Else every note is scored, by trees
// fitted on openly licensed music (see README.md and the program in fit) or,
// with [Options].Untrained, by a few rules; one chain of notes over the whole
// piece, with rests where the scores are poor, is the melody.
//
// The package changes nothing and knows nothing of towers. It does not look
// for counter-melodies, and it names one note at a time: a melody in octaves
// or thirds is one of its lines.
package melody
