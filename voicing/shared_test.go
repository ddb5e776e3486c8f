package voicing

import (
	"bytes"
	"path/filepath"
	"testing"

	"undersong/score"
	"undersong/score/musicxml"
	"undersong/score/scoretest"
)

// eachScore runs a test on the example song and on every real score beside
// the project, which it says loudly when they are not there.
func eachScore(t *testing.T, test func(t *testing.T, s *score.Score)) {
	eachDocument(t, func(t *testing.T, doc *musicxml.Document) { test(t, doc.Score()) })
}

func eachDocument(t *testing.T, test func(t *testing.T, doc *musicxml.Document)) {
	for _, path := range append(scoretest.Shared(t), filepath.Join("..", "examples", "lamp-for-the-late-boat", "lamp-for-the-late-boat.musicxml")) {
		t.Run(filepath.Base(path), func(t *testing.T) { test(t, scoretest.Document(t, path)) })
	}
}

// readBack is a result as it is read back from its own file.
func readBack(t testing.TB, doc *musicxml.Document, o Options) *score.Score {
	t.Helper()
	result, _, err := Voice(doc.Score(), o)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := doc.Write(&file, result); err != nil {
		t.Fatal(err)
	}
	again, err := musicxml.Read(&file, "result", musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return again.Score()
}
