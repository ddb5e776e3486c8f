package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score/scoretest"
)

// TestMutantTowersAndPlans voices the example song for mutations of a tower and
// of a plan: a sound score, or an error that is told in plain lines.
// UNDERSONG_MUTANTS and UNDERSONG_SEED are as in TestMutants.
func TestMutantTowersAndPlans(t *testing.T) {
	song, err := filepath.Abs(filepath.Join(songDir, "lamp-for-the-late-boat.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	count, first := number(t, "UNDERSONG_MUTANTS", 500)/5, uint64(number(t, "UNDERSONG_SEED", 1))
	sources := map[string]string{
		"tower": regexp.MustCompile(`(?m)^#([a-z]|  -)`).ReplaceAllString(instrument.Template(), "$1"),
		"plan": "voicing: plain\ntranspose: 0\ndifficulty: 3\nsections:\n" +
			"  - where: last chorus\n    voicing: inverted\n    octave: -1\n    notes: 2\n    softer: 1\n" +
			"  - where: time 2 of bridge\n    voicing: covered\n    alone: yes\n  - where: 5-12\n    voicing: as-written\n",
	}
	t.Chdir(t.TempDir())
	voiced := map[string]int{}
	for i := range uint64(count) {
		for what, text := range sources {
			seed := first + i
			write(t, what+".yaml", scoretest.MutantLines(text, seed))
			args := fmt.Sprintf("undersong voice -o - %s --%s %s.yaml", song, what, what)
			var out, errs bytes.Buffer
			o := outcome{code: run(strings.Fields(args), strings.NewReader(""), &out, &errs)}
			o.out, o.errors = out.String(), errs.String()
			if o.code == 0 {
				voiced[what]++
			}
			if fault := o.judge(); fault != "" {
				t.Errorf("UNDERSONG_SEED=%d, %s: %s", seed, what, fault)
				keepFault(t, fmt.Sprintf("%d-%s.yaml", seed, what), what+".yaml")
			}
		}
	}
	t.Logf("of %d each: voiced %v", count, voiced)
	for what := range sources {
		if n := voiced[what]; n == 0 || n == count {
			t.Errorf("of %d mutants of a %s %d are voiced", count, what, n)
		}
	}
}

// keepFault copies a file to where what a test leaves is kept.
func keepFault(t *testing.T, name, from string) {
	t.Helper()
	text, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(t.ArtifactDir(), name), string(text))
}
