package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"undersong/score"
	"undersong/score/musicxml"
	"undersong/score/scoretest"
	"undersong/voicing"
)

// hangs is how long one score may take. The longest of them takes a second.
const hangs = time.Minute

// TestMutants sends mutations of the examples and of the shared scores through
// the whole command. Each is a sound score that can be read again, or an error
// that is told in plain lines; none panics or hangs.
//
//	UNDERSONG_MUTANTS=20000   how many; 500 without
//	UNDERSONG_SEED=1234       the first seed; 1 without. With UNDERSONG_MUTANTS=1, that one again
//	UNDERSONG_KEEP=DIR        leaves every mutant that is read, and its result, in DIR
func TestMutants(t *testing.T) {
	count, first := number(t, "UNDERSONG_MUTANTS", 500), uint64(number(t, "UNDERSONG_SEED", 1))
	sources := mutantSources(t)
	var all tally
	for i := range uint64(count) { // not side by side: the flags' package has variables
		seed := first + i
		all.add(t, tryMutant(seed, sources[seed/5%uint64(len(sources))]))
	}
	t.Logf("%d mutants: %d voiced, %d refused; the longest, of seed %d, took %s", count, all.voiced, all.refused, all.longestOf, all.longest.Round(time.Millisecond))
}

func number(t *testing.T, name string, otherwise int) int {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}

// mutantSource is a score to change: its file, and the same unpacked.
type mutantSource struct{ name, file, text string }

func mutantSources(t *testing.T) []mutantSource {
	t.Helper()
	files := scoretest.Shared(t)
	for _, song := range []string{"lamp-for-the-late-boat", "nets-in-the-loft", "evening-on-the-sound"} {
		files = append(files, "../../examples/"+song+"/"+song+".musicxml")
	}
	var all []mutantSource
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, mutantSource{filepath.Base(file), string(raw), unpacked(t, raw)})
	}
	return all
}

// unpacked is the largest entry of an archive, or the text that is none.
func unpacked(t *testing.T, raw []byte) string {
	t.Helper()
	if !bytes.HasPrefix(raw, []byte("PK")) {
		return string(raw)
	}
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	largest := z.File[0]
	for _, f := range z.File {
		if f.UncompressedSize64 > largest.UncompressedSize64 {
			largest = f
		}
	}
	f, err := largest.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	text, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// outcome is what the command made of a mutant.
type outcome struct {
	seed   uint64
	source mutantSource
	text   string // the mutant
	args   string
	code   int
	out    string
	errors string
	took   time.Duration
	fault  string
}

// tryMutant runs the command on the mutant of a seed.
func tryMutant(seed uint64, source mutantSource) *outcome {
	o := &outcome{seed: seed, source: source}
	r := rand.New(rand.NewPCG(seed, 1))
	original := source.text
	if r.IntN(16) == 0 {
		original = source.file // of an archive, the archive's own bytes
	}
	o.text = scoretest.Mutant(original, seed)
	ways := append(voicing.Voicings(), "auto")
	o.args = fmt.Sprintf("voice - -o - --voicing %s --tower %s --transpose %s",
		ways[seed%uint64(len(ways))], one(r, "47", "47", "23", "35", "61"), one(r, "0", "0", "auto", "-5"))
	done := make(chan bool, 1)
	begun := time.Now()
	go func() {
		defer func() {
			if r := recover(); r != nil {
				o.fault = fmt.Sprintf("panic: %v\n%s", r, debug.Stack())
			}
			done <- true
		}()
		var out, errs bytes.Buffer
		o.code = run(append([]string{"undersong"}, strings.Fields(o.args)...), strings.NewReader(o.text), &out, &errs)
		o.out, o.errors = out.String(), errs.String()
	}()
	select {
	case <-done:
		if o.took = time.Since(begun); o.fault == "" {
			o.fault = o.judge()
		}
	case <-time.After(hangs):
		// What goes on may still write to o.
		return &outcome{seed: seed, source: source, text: o.text, args: o.args, fault: fmt.Sprintf("is not done after %s", hangs)}
	}
	return o
}

// judge tells what is wrong with what the command did, "" for nothing.
func (o *outcome) judge() string {
	if o.code != 0 {
		return unclear(o.errors)
	}
	doc, err := musicxml.Read(strings.NewReader(o.out), "result", musicxml.Limits{})
	if err != nil {
		return fmt.Sprintf("the result cannot be read: %v", err)
	}
	if problems := score.Check(doc.Score()); len(problems) > 0 {
		return fmt.Sprintf("the result is unsound: %v", problems)
	}
	return ""
}

// unclear tells why errors are not plain lines that begin with the command's
// name, "" where they are.
func unclear(errors string) string {
	lines := strings.Split(strings.TrimSuffix(errors, "\n"), "\n")
	for _, line := range lines {
		if !strings.HasPrefix(line, "undersong: ") || len(line) > 600 || strings.ContainsFunc(line, unicode.IsControl) {
			return fmt.Sprintf("an error that is not one clear line: %.300q", line)
		}
	}
	if len(lines) > 30 {
		return fmt.Sprintf("%d lines of errors", len(lines))
	}
	return ""
}

func one(r *rand.Rand, of ...string) string { return of[r.IntN(len(of))] }

// tally counts outcomes.
type tally struct {
	voiced, refused int
	longest         time.Duration
	longestOf       uint64 // seed
}

func (a *tally) add(t *testing.T, o *outcome) {
	if o.took > a.longest {
		a.longest, a.longestOf = o.took, o.seed
	}
	if o.code == 0 {
		a.voiced++
	} else {
		a.refused++
	}
	folder := os.Getenv("UNDERSONG_KEEP")
	if o.fault != "" {
		t.Errorf("UNDERSONG_SEED=%d (%s, undersong %s): %s", o.seed, o.source.name, o.args, o.fault)
		if folder == "" {
			folder = t.ArtifactDir()
		}
	}
	if folder == "" || o.fault == "" && o.code != 0 {
		return
	}
	for name, text := range map[string]string{"mutant": o.text, "result": o.out} {
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("%d-%s.musicxml", o.seed, name)), []byte(text), 0o600); err != nil {
			t.Error(err)
		}
	}
}
