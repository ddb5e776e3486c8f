// Package scoretest reads scores for tests.
package scoretest

import (
	"os"
	"path/filepath"
	"testing"

	"undersong/score"
	"undersong/score/musicxml"
)

// Document is the document in a file; path has slashes. What cannot be read
// ends the test.
func Document(t testing.TB, path string) *musicxml.Document {
	t.Helper()
	f, err := os.Open(filepath.FromSlash(path))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	doc, err := musicxml.Read(f, path, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// Score is the score of such a document.
func Score(t testing.TB, path string) *score.Score {
	t.Helper()
	return Document(t, path).Score()
}
