// Package musicxml reads and writes MusicXML, plain (.musicxml, .xml) or in
// an archive (.mxl), as a [score.Score] that stays tied to the document it
// came from.
//
// [Read] gives a [Document]; its [Document.Score] is the music. What the
// score has no word for stays in the document and is written again at its
// place by [Document.Write]. A measure that is still the one that was read
// (the same *score.Measure) comes out as it went in; any other is engraved
// anew by score/notation. [Write] writes a score that was never read.
//
// A note whose id begins with "melody-" is marked as of the melody
// ([score.Note].Melody), one whose id begins with "interlude-" as of a line that leads
// while it rests ([score.Note].Interlude), and notes so marked are written with such ids.
//
// What does not come out as it went in:
//
//   - The text becomes UTF-8, with an XML declaration of its own. Of an archive
//     only the score is read: pictures and other files in it are not written.
//   - As soon as anything is changed the root is a score-partwise of version
//     4.0, without DOCTYPE and without comments outside of measures; measures
//     of a timewise score, and those under other divisions, are laid out anew
//     with the same elements. Of the defaults the scaling and the page stay, of
//     the header what MusicXML has there.
//   - A measure that is engraved anew loses its width, its comments and
//     processing instructions, the place of things on the page, and children
//     of notes and directions that MusicXML does not have. Entities are written
//     as the characters they stand for.
//
// Entities that a DTD declares are an error of Read.
//
// The package opens no files, fetches nothing (a DOCTYPE is skipped) and
// changes no music.
package musicxml
