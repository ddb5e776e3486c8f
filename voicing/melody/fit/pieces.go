package main

import (
	"embed"
	"fmt"
	"io/fs"

	"undersong/score/shorthand"
	"undersong/voicing/melody/internal/model"
)

// pieceFiles are music for piano alone, of which the archive has none: README.md of package
// melody tells where it is from.
//
//go:embed pieces
var pieceFiles embed.FS

// readPieces are the pieces of all files, in the order of their names.
func readPieces() (all []*shorthand.Piece, err error) {
	files, err := fs.Glob(pieceFiles, "pieces/*.txt")
	if err != nil {
		return nil, err
	}
	for _, name := range files {
		text, err := pieceFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		some, err := shorthand.Read(string(text))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, some...)
	}
	return all, nil
}

// pieces are these as songs.
func pieces() ([]*song, error) {
	all, err := readPieces()
	if err != nil {
		return nil, err
	}
	var songs []*song
	for _, p := range all {
		s := &song{set: "piano", id: p.Title}
		for _, t := range p.Score.Starts() {
			s.measures = append(s.measures, model.Ticks(t))
		}
		var notes []labelled
		for _, tone := range p.Score.Tones() {
			n := tone.First()
			notes = append(notes, labelled{model.Note{
				On: model.Ticks(tone.Onset), End: model.Ticks(tone.End()),
				Pitch: tone.Pitch.MIDI(), Hand: n.Staff - 1, Voice: n.Voice,
			}, p.Melody[n]})
		}
		s.fill(notes)
		songs = append(songs, s)
	}
	return songs, nil
}
