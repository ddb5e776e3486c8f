package musicxml

import (
	"archive/zip"
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// small limits keep hostile inputs cheap.
var small = Limits{Bytes: 1 << 20, Ratio: 50, Depth: 32}

// seed adds our own test files, and every finding kept in testdata/fuzz.
func seed(f *testing.F, patterns ...string) {
	f.Helper()
	for _, pattern := range patterns {
		files, err := filepath.Glob(filepath.Join(roundtrip, pattern))
		if err != nil || len(files) == 0 {
			f.Fatalf("no seeds match %s: %v", pattern, err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
}

// FuzzRead: any bytes give a document or an error, never a panic, and what
// was read is written again as it was.
func FuzzRead(f *testing.F) {
	seed(f, "*.musicxml", "odd/*.musicxml", "encodings/*.musicxml")
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, err := Read(bytes.NewReader(text), "fuzz", small)
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := doc.Write(&out, doc.Score()); err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(out.String(), plain(t, text, small)) {
			t.Error("what was not changed has changed")
		}
	})
}

// FuzzArchive: any bytes, read as an archive, give a document or an error.
func FuzzArchive(f *testing.F) {
	seed(f, "archives/*.mxl")
	f.Fuzz(func(t *testing.T, raw []byte) {
		if !isArchive(string(raw)) {
			return
		}
		text, err := unpack(t.Context(), string(raw), small)
		if err == nil && int64(len(text)) > small.Bytes {
			t.Errorf("%d bytes unpacked, over the limit", len(text))
		}
		if z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw))); err == nil {
			_, _ = choose(t.Context(), z.File, small)
		}
	})
}

// FuzzRound: a score that is engraved anew reads back with the same notes.
func FuzzRound(f *testing.F) {
	seed(f, "*.musicxml", "odd/*.musicxml")
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, err := Read(bytes.NewReader(text), "fuzz", small)
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := doc.Write(&out, anew(doc.Score())); err != nil {
			t.Fatal(err)
		}
		again, err := Read(&out, "written", Limits{})
		if err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
		if diff := cmp.Diff(sounds(doc.Score()), sounds(again.Score())); diff != "" {
			t.Errorf("the notes differ (-read +written):\n%s", diff)
		}
	})
}
