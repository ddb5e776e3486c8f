package main

import (
	_ "embed"

	"undersong/score/shorthand"
	"undersong/voicing/melody/internal/model"
)

// piecesText is music for piano alone, of which the archive has none: README.md of package
// melody tells where it is from.
//
//go:embed pieces.txt
var piecesText string

// pieces are the songs of piecesText.
func pieces() ([]*song, error) {
	all, err := shorthand.Read(piecesText)
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
