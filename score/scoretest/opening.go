package scoretest

import (
	"os"
	"path/filepath"
	"testing"

	"undersong/score"
	"undersong/score/shorthand"
)

// Openings are the pieces of a file, by its path from voicing/melody/testdata.
func Openings(t testing.TB, file string) []*shorthand.Piece {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root(t), "voicing", "melody", "testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	all, err := shorthand.Read(string(text))
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Quarters is a time in quarters, such as 3/2.
func Quarters(t testing.TB, text string) score.Time {
	t.Helper()
	var q score.Time
	if err := q.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return q
}

// Pitch is a pitch such as C#4 or Bb3.
func Pitch(t testing.TB, name string) score.Pitch {
	t.Helper()
	p, err := shorthand.Pitch(name)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
