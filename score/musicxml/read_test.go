package musicxml

import (
	"os"
	"path/filepath"
	"testing"
)

// sharedScores are the real scores beside the project, or none: tests that
// need them skip loudly.
func sharedScores(t testing.TB) []string {
	t.Helper()
	var files []string
	for _, pattern := range []string{"*.musicxml", "*.mxl"} {
		found, err := filepath.Glob(filepath.Join("..", "..", "..", "shared", "scores", pattern))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	if len(files) == 0 {
		t.Skip("SKIPPED: ../shared/scores is not here")
	}
	return files
}

func readFile(t testing.TB, path string) *Document {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	doc, err := Read(f, filepath.Base(path), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestReadSharedScores(t *testing.T) {
	for _, path := range sharedScores(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			s := readFile(t, path).Score()
			tones := s.Tones()
			if len(tones) == 0 {
				t.Error("no tones")
			}
			t.Logf("%q %v parts %d measures %d tones %d, %v to %v, length %v", s.Title, s.Composers, len(s.Parts), s.MeasureCount(), len(tones), tones[0].Onset, tones[len(tones)-1].Onset, s.Starts()[s.MeasureCount()])
		})
	}
}
