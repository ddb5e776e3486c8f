package voicing

import (
	"os"
	"path/filepath"
	"testing"

	"undersong/score"
	"undersong/score/musicxml"
)

// eachScore runs a test on the example song and on every real score beside
// the project, which it says loudly when they are not there.
func eachScore(t *testing.T, test func(t *testing.T, s *score.Score)) {
	files := []string{filepath.Join("..", "examples", "lamp-for-the-late-boat", "lamp-for-the-late-boat.musicxml")}
	for _, pattern := range []string{"*.musicxml", "*.mxl"} {
		found, err := filepath.Glob(filepath.Join("..", "..", "shared", "scores", pattern))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) { test(t, readScore(t, path)) })
	}
	if len(files) == 1 {
		t.Log("SKIPPED: ../shared/scores is not here, only the example song was tested")
	}
}

func readScore(t testing.TB, path string) *score.Score {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	doc, err := musicxml.Read(f, filepath.Base(path), musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc.Score()
}
