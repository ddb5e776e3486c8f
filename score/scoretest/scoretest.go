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

// Shared are the real scores that lie beside the project, in ../shared/scores;
// where they do not, it says so loudly and gives none. With -short it gives every
// third.
func Shared(t testing.TB) []string {
	t.Helper()
	files := glob(t, "../shared/scores/*.m*l")
	if len(files) == 0 {
		t.Log("SKIPPED: ../shared/scores is not here, none of the real scores was tested")
	}
	if testing.Short() {
		var some []string
		for i := 0; i < len(files); i += 3 {
			some = append(some, files[i])
		}
		return some
	}
	return files
}

// Examples are the example songs and their results.
func Examples(t testing.TB) []string {
	t.Helper()
	return glob(t, "examples/*/*.musicxml")
}

// glob finds files from the project's folder.
func glob(t testing.TB, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(root(t), filepath.FromSlash(pattern)))
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// root is the project's folder, seen from the package that is tested.
func root(t testing.TB) string {
	t.Helper()
	for dir := "."; len(dir) < 64; dir = filepath.Join("..", dir) {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
	}
	t.Fatal("no go.mod above the working folder")
	return ""
}
