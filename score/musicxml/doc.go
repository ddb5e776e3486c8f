// Package musicxml reads and writes MusicXML, plain (.musicxml, .xml) or in
// an archive (.mxl), as a [score.Score] that stays tied to the document it
// came from.
//
// [Read] gives a [Document]; its [Document.Score] is the music. What the
// score has no word for stays in the document and is written again at its
// place by [Document.Write]. A measure that is still the one that was read
// (the same *score.Measure) comes out as it went in; any other is engraved
// anew by score/notation.
//
// The package opens no files, fetches nothing (a DOCTYPE is skipped) and
// changes no music.
package musicxml
