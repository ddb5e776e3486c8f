package scoretest

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"strings"
	"testing"
)

// TestMutant: a seed always gives the same, seeds differ, and most are
// well-formed.
func TestMutant(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/roundtrip/voices-four.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	const n = 300
	text := string(raw)
	changed, formed := 0, 0
	seen := map[string]bool{}
	for seed := range uint64(n) {
		m := Mutant(text, seed)
		if m != Mutant(text, seed) {
			t.Fatalf("seed %d gives two", seed)
		}
		if m != text {
			changed++
		}
		if wellFormed(m) {
			formed++
		}
		seen[m] = true
	}
	t.Logf("of %d: %d changed, %d well-formed, %d different", n, changed, formed, len(seen))
	if changed < n*9/10 || formed < n/2 || len(seen) < n*8/10 {
		t.Errorf("of %d: %d changed, %d well-formed, %d different", n, changed, formed, len(seen))
	}
	Mutant("", 1)
}

func wellFormed(text string) bool {
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := d.Token(); err != nil {
			return errors.Is(err, io.EOF)
		}
	}
}
