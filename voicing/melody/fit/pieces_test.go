package main

import (
	"testing"

	"undersong/score"
)

// The pieces are well written: their voices go on to the end, and one note of the tune is struck at
// a time.
func TestPieces(t *testing.T) {
	written, err := readPieces()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range written {
		if p.Longest.Sub(p.Shortest).Cmp(score.Quarters(2)) > 0 {
			t.Errorf("%s: one voice has %v quarters, another %v", p.Title, p.Shortest, p.Longest)
		}
	}
	songs, err := pieces()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range songs {
		melody := 0
		for _, g := range s.music.Groups {
			struck := 0
			for i := g.First; i < g.Last; i++ {
				if s.melody[i] {
					struck++
				}
			}
			if struck > 1 {
				t.Errorf("%s: measure %d has %d notes of the tune at once", s.id, s.music.Notes[g.First].Measure+1, struck)
			}
			melody += struck
		}
		if len(s.melody) < 80 || melody < 25 || s.measures[len(s.measures)-1] < s.music.Notes[len(s.music.Notes)-1].End {
			t.Errorf("%s: %d notes, %d of them melody", s.id, len(s.melody), melody)
		}
	}
}

// One tune in two settings has one id; other tunes have others.
func TestJoinTunes(t *testing.T) {
	songs, err := pieces()
	if err != nil {
		t.Fatal(err)
	}
	titles := map[string]int{}
	for _, s := range songs {
		titles[s.id]++
	}
	if n := len(titles); n == len(songs) || n < len(songs)*3/4 {
		t.Errorf("%d ids for %d pieces", n, len(songs))
	}
	for id, n := range titles {
		if n > 5 {
			t.Errorf("%d pieces have the tune of %s", n, id)
		}
	}
}
