// Package examples holds the demonstration songs of the README, with the
// results that its commands give.
package examples

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score/musicxml"
	"undersong/voicing"
)

var update = flag.Bool("update", false, "write the results anew")

const folder = "lamp-for-the-late-boat"

// TestLamp gives the results that are beside the song, byte for byte.
func TestLamp(t *testing.T) {
	song := filepath.Join(folder, folder+".musicxml")
	f, err := os.Open(song)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	doc, err := musicxml.Read(f, song, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range voicing.Voicings() {
		t.Run(string(v), func(t *testing.T) {
			result, report, err := voicing.Voice(doc.Score(), voicing.Options{Voicing: v})
			if err != nil {
				t.Fatal(err)
			}
			var music, text bytes.Buffer
			if err := doc.Write(&music, result); err != nil {
				t.Fatal(err)
			}
			if err := report.WriteText(&text); err != nil {
				t.Fatal(err)
			}
			name := filepath.Join(folder, folder+"-"+string(v))
			same(t, name+".musicxml", music.Bytes())
			same(t, name+".txt", text.Bytes())
		})
	}
}

func same(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s is not what it was (-want +got); look at it, then go test ./examples -update:\n%s", file, diff)
	}
}
