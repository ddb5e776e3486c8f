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

	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/plan"
	"undersong/voicing/study"
)

var update = flag.Bool("update", false, "write the results anew")

// results are the songs, each in a folder of its name, and how they are voiced.
var results = []struct {
	song, name string
	plan       plan.Plan
}{
	{lamp, "inverted", plan.Plan{Voicing: voicing.Inverted}},
	{lamp, "tenor", plan.Plan{Voicing: voicing.Tenor}},
	{lamp, "covered", plan.Plan{Voicing: voicing.Covered}},
	{lamp, "plain", plan.Plan{Voicing: voicing.Plain}},
	{lamp, "planned", plan.Plan{Items: []plan.Item{{Where: "last chorus", Voicing: voicing.Inverted}}}},
	{nets, "inverted", plan.Plan{Voicing: voicing.Inverted}},
	{nets, "plain", plan.Plan{Voicing: voicing.Plain}},
	{evening, "inverted", plan.Plan{Voicing: voicing.Inverted}},
	{evening, "covered", plan.Plan{Voicing: voicing.Covered}},
	{rain, "inverted", plan.Plan{Voicing: voicing.Inverted}},
	{rain, "tenor", plan.Plan{Voicing: voicing.Tenor}},
	{rain, "plain", plan.Plan{Voicing: voicing.Plain}},
}

const (
	lamp    = "lamp-for-the-late-boat"
	nets    = "nets-in-the-loft"
	evening = "evening-on-the-sound"
	rain    = "rain-on-the-ropewalk"
)

// TestResults gives the results that are beside the songs, byte for byte.
func TestResults(t *testing.T) {
	for _, r := range results {
		t.Run(r.song+" "+r.name, func(t *testing.T) {
			doc := scoretest.Document(t, filepath.Join(r.song, r.song+".musicxml"))
			source, options, err := r.plan.Resolve(study.Analyse(doc.Score(), nil))
			if err != nil {
				t.Fatal(err)
			}
			result, report, err := voicing.Voice(source, options)
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
			name := filepath.Join(r.song, r.song+"-"+r.name)
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
