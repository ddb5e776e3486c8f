package check_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/harmony"
	"undersong/voicing/melody"
)

// figures are what a way of flipping scores comes to, over all of them.
type figures struct {
	noKey, unplayable, blur, lowThirds int
	kept, beats                        int // thirds and sevenths, and where the source has them
	margins                            []float64
}

func (f *figures) median() float64 {
	slices.Sort(f.margins)
	return f.margins[len(f.margins)/2]
}

// TestAgainstNaive compares inverted results with the flip that needs no
// program: the melody an octave down in the feet, all else an octave up in the
// hands (the flipped reading of a piano score: common practice, no source).
// The table in DEVELOPERS.md is what it measures.
func TestAgainstNaive(t *testing.T) {
	table, err := os.ReadFile(filepath.Join("..", "..", "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	shared := scoretest.Shared(t)
	whole := len(shared) > 0 && !testing.Short() // as for the table
	files := append(shared, filepath.Join("..", "..", "examples", "lamp-for-the-late-boat", "lamp-for-the-late-boat.musicxml"))
	for _, name := range []string{"23", "35", "47", "61"} {
		tower, err := instrument.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		var naive, ours figures
		for _, file := range files {
			s := scoretest.Score(t, file)
			tones := s.Tones()
			line := melody.Find(s, tones, melody.Options{})
			if len(line.Tones) == len(tones) {
				continue // a lead sheet has nothing to flip
			}
			result, _, err := voicing.Voice(s, voicing.Options{Tower: tower})
			if err != nil {
				t.Fatal(err)
			}
			naive.add(t, s, flip(s, tones, line), tower)
			ours.add(t, s, result, tower)
		}
		row := fmt.Sprintf("| %s | %d / %d | %d / %d | %d / %d | %.0f / %.0f | %.1f / %.1f | %d / %d |", name,
			naive.noKey, ours.noKey, naive.unplayable, ours.unplayable, naive.lowThirds, ours.lowThirds,
			100*float64(naive.kept)/float64(naive.beats), 100*float64(ours.kept)/float64(ours.beats), naive.median(), ours.median(), naive.blur, ours.blur)
		if t.Log(row); whole && !bytes.Contains(table, []byte(row+"\n")) {
			t.Errorf("DEVELOPERS.md has another row: it should be\n%s", row)
		}
		// At 23 bells most of the naive way's notes have no key, so they cannot
		// blur.
		blurs := ours.blur > naive.blur && name != "23"
		if blurs || ours.noKey > 0 || ours.lowThirds > 0 || ours.unplayable > naive.unplayable || ours.median() < naive.median() {
			t.Errorf("tower %s: naive %+v, ours %+v", name, naive, ours)
		}
	}
}

func (f *figures) add(t *testing.T, source, result *score.Score, tower *instrument.Tower) {
	t.Helper()
	r, err := check.Score(result, check.Options{Tower: tower})
	if err != nil {
		t.Fatal(err)
	}
	f.noKey += r.Totals[check.Compass]
	f.unplayable += r.Totals[check.Unplayable]
	f.lowThirds += r.Totals[check.LowThirds]
	for _, m := range r.Measures {
		if m.Margin != nil {
			f.margins = append(f.margins, *m.Margin)
		}
		if m.Blur > 1 {
			f.blur++
		}
	}
	f.addHarmony(source, result)
}

// addHarmony counts in how many of the source's harmonies its third and
// seventh, where they are struck, are struck in the result too.
func (f *figures) addHarmony(source, result *score.Score) {
	tones := source.Tones()
	struck := func(s *score.Score, h harmony.Span) (set harmony.Classes) {
		for _, tone := range s.Tones() {
			if n := tone.First(); n.Plays() && !tone.Onset.Less(h.From) && tone.Onset.Less(h.To) {
				set = set.With(n.Pitch.Class())
			}
		}
		return set
	}
	for _, h := range harmony.Find(source, tones, nil) {
		was, is := struck(source, h), struck(result, h)
		for _, tone := range harmony.Tones(h.Chord) {
			class := (h.Chord.Root.Class() + tone.Semitones) % 12
			if (tone.Degree == 3 || tone.Degree == 7) && was.Has(class) {
				if f.beats++; is.Has(class) {
					f.kept++
				}
			}
		}
	}
}

// flip puts the melody an octave down on a staff of its own and all else an
// octave up.
func flip(s *score.Score, tones []score.Tone, line melody.Line) *score.Score {
	part := &score.Part{ID: "P1", Name: "Carillon", Staves: 2}
	starts := s.Starts()
	for i := range s.MeasureCount() {
		lead := s.Parts[0].Measures[min(i, len(s.Parts[0].Measures)-1)]
		part.Measures = append(part.Measures, &score.Measure{
			Number: fmt.Sprint(i + 1), Length: starts[i+1].Sub(starts[i]), Times: lead.Times, Directions: lead.Directions,
		})
	}
	part.Measures[0].Clefs = []score.ClefChange{{Staff: 1, Clef: score.Treble}, {Staff: 2, Clef: score.Bass}}
	for i, tone := range tones {
		n := *tone.First()
		if !n.Plays() || n.Grace {
			continue
		}
		n.Staff, n.Voice, n.Pitch, n.Onset = 1, 1, tone.Pitch.Octaves(1), tone.Onset.Sub(starts[tone.Pieces[0].Measure])
		n.TieStart, n.TieStop, n.Marks = false, false, nil
		if slices.Contains(line.Tones, i) {
			n.Staff, n.Voice, n.Pitch = 2, 5, tone.Pitch.Octaves(-1)
		}
		m := part.Measures[tone.Pieces[0].Measure]
		m.Notes = append(m.Notes, n)
	}
	return &score.Score{Parts: []*score.Part{part}}
}
