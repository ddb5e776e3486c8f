package main

import (
	"archive/tar"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"undersong/score"
	"undersong/voicing/melody/internal/model"
)

// song is a piece whose melody is known.
type song struct {
	set, id string
	music   *model.Music
	melody  []bool // by note
	// measures are the starts of its measures in ticks, one more than there are
	// measures.
	measures []int
}

// truth is a truth file of the archive.
type truth struct {
	ID       string          `json:"id"`
	Set      string          `json:"set"`
	Measures [][2]score.Time `json:"measures"`
	Notes    []truthNote     `json:"notes"`
}

type truthNote struct {
	Onset    score.Time `json:"onset"`
	Duration score.Time `json:"duration"`
	Pitch    int        `json:"pitch"`
	Label    string     `json:"label"`
	Staff    int        `json:"staff"`
	Voice    int        `json:"voice"`
}

// readArchive reads every truth file of a tar archive. They hold all notes of
// their scores with staff and voice, so the scores themselves are not needed.
func readArchive(r io.Reader) ([]*song, error) {
	var songs []*song
	for files := tar.NewReader(r); ; {
		h, err := files.Next()
		if errors.Is(err, io.EOF) {
			return songs, nil
		}
		if err != nil {
			return nil, err
		}
		if !strings.HasSuffix(h.Name, ".truth.json") {
			continue
		}
		var t truth
		if err := json.NewDecoder(files).Decode(&t); err != nil {
			return nil, fmt.Errorf("%s: %w", h.Name, err)
		}
		if t.Set == "" {
			t.Set = path.Base(path.Dir(h.Name))
		}
		songs = append(songs, t.song())
	}
}

func (t *truth) song() *song {
	s := &song{set: t.Set, id: t.ID}
	var end score.Time
	for _, m := range t.Measures {
		s.measures = append(s.measures, model.Ticks(m[0]))
		end = m[0].Add(m[1])
	}
	s.measures = append(s.measures, model.Ticks(end))
	var notes []labelled
	for _, n := range t.Notes {
		notes = append(notes, labelled{model.Note{
			On: model.Ticks(n.Onset), End: model.Ticks(n.Onset.Add(n.Duration)),
			Pitch: n.Pitch, Hand: n.Staff - 1, Voice: n.Voice,
		}, n.Label == "melody"})
	}
	s.fill(notes)
	return s
}

type labelled struct {
	model.Note
	melody bool
}

// labelled are the notes of s.
func (s *song) labelled() []labelled {
	notes := make([]labelled, len(s.melody))
	for i, n := range s.music.Notes {
		notes[i] = labelled{n, s.melody[i]}
	}
	return notes
}

// fill makes the song's music of notes, in the measures it has already. Notes struck together
// on one key are one, as for the finder: as long as the longest, and melody if one is.
func (s *song) fill(notes []labelled) {
	type key struct{ on, pitch int }
	place := map[key]int{}
	var all []labelled
	for _, n := range notes {
		k := key{n.On, n.Pitch}
		if i, struck := place[k]; struck {
			all[i].End = max(all[i].End, n.End)
			all[i].melody = all[i].melody || n.melody
			continue
		}
		place[k] = len(all)
		n.Measure = s.measureAt(n.On)
		n.Beat = n.On - s.measures[n.Measure]
		all = append(all, n)
	}
	plain := make([]model.Note, len(all))
	for i, n := range all {
		plain[i] = n.Note
	}
	s.music = model.FromNotes(plain)
	s.melody = make([]bool, len(plain))
	for i := range s.music.Notes {
		n := &s.music.Notes[i]
		s.melody[i] = all[place[key{n.On, n.Pitch}]].melody
	}
}

func (s *song) measureAt(t int) int {
	i, exact := slices.BinarySearch(s.measures[:len(s.measures)-1], t)
	if !exact {
		i--
	}
	return max(i, 0)
}
