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
	joinTunes(songs)
	return songs, nil
}

// turn is eight intervals of a tune in a row.
type turn [8]int

// joinTunes gives pieces of one tune, which is set in more than one way, one id, so that
// they never are in two folds: those of which a third of the turns of one are in the other.
func joinTunes(songs []*song) {
	turns := make([]map[turn]bool, len(songs))
	for i, s := range songs {
		turns[i] = s.turns()
		for k, earlier := range songs[:i] {
			shared := 0
			for t := range turns[i] {
				if turns[k][t] {
					shared++
				}
			}
			if 3*shared > min(len(turns[i]), len(turns[k])) {
				s.id = earlier.id
				break
			}
		}
	}
}

func (s *song) turns() map[turn]bool {
	all := map[turn]bool{}
	var t turn
	before, n := 0, 0
	for i, is := range s.melody {
		if !is {
			continue
		}
		pitch := s.music.Notes[i].Pitch
		copy(t[:], t[1:])
		t[len(t)-1] = pitch - before
		if before, n = pitch, n+1; n > len(t) {
			all[t] = true
		}
	}
	return all
}
