package voicing

import (
	"bytes"
	"fmt"
	"path/filepath"
	"testing"

	"undersong/instrument"
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

// outcome is what a score becomes at a tower: the result as it was made, as it
// is read back from its own file, and the report.
type outcome struct {
	doc          *musicxml.Document
	tower        *instrument.Tower
	voicing      Voicing
	result, back *score.Score
	file         []byte
	report       *Report
}

// outcomes are those made so far, by tower, voicing and document: several
// tests look at them.
var outcomes = map[string]*outcome{}

// eachOutcome runs a test on every score that eachScore has, voiced in every way
// at towers of every size.
func eachOutcome(t *testing.T, test func(t *testing.T, o *outcome)) {
	for _, name := range []string{"23", "35", "47", "61"} {
		for _, v := range Voicings() {
			t.Run(fmt.Sprint(name, " ", v), func(t *testing.T) {
				eachDocument(t, func(t *testing.T, doc *musicxml.Document) {
					key := fmt.Sprint(name, v, filepath.Base(t.Name()))
					if outcomes[key] == nil {
						outcomes[key] = outcomeOf(t, doc, name, v)
					}
					test(t, outcomes[key])
				})
			})
		}
	}
}

func outcomeOf(t *testing.T, doc *musicxml.Document, tower string, v Voicing) *outcome {
	t.Helper()
	o := &outcome{doc: doc, voicing: v}
	var err error
	if o.tower, err = instrument.Named(tower); err != nil {
		t.Fatal(err)
	}
	o.result, o.report = voiced(t, doc.Score(), Options{Tower: o.tower, Voicing: v})
	var file bytes.Buffer
	if err := doc.Write(&file, o.result); err != nil {
		t.Fatal(err)
	}
	o.file = bytes.Clone(file.Bytes())
	back, err := musicxml.Read(&file, "result", musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	o.back = back.Score()
	return o
}
