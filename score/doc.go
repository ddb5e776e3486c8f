// Package score holds the music of a score: parts, measures, notes, exact
// time, pitches, keys, ties and the place of everything in it.
//
// It knows no file format (score/musicxml reads and writes one), no
// instrument and no arranging. Whatever a reader finds and this package has
// no word for is carried by its [Source], with its place, so that a writer
// can put it back.
package score
