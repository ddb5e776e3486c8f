package voicing

import (
	"fmt"
	"testing"

	"undersong/score"
	"undersong/voicing/lead"
)

// TestCover: whatever note of its chord the melody holds, two close notes are struck above
// it after the beat, and none that doubles it ("doubled notes go first", "Arranging for
// Carillon", lesson "Harmony"; that the melody lies just under two is common practice, no
// source).
func TestCover(t *testing.T) {
	for _, c := range []struct {
		kind   string
		melody int
	}{
		{"major", 67}, {"major", 71}, {"major", 74}, {"minor", 70}, {"dominant", 71}, {"dominant", 77},
	} {
		t.Run(fmt.Sprint(c.kind, " ", c.melody), func(t *testing.T) {
			held := []int{0}
			s := sung(score.Quarter, []int{c.melody}, held, held, held, []int{c.melody}, held, held, held)
			for _, m := range s.Parts[0].Measures {
				m.Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}}}
				m.Chords = []score.ChordSymbol{{HasRoot: true, Root: score.Spell(55), Kind: c.kind}}
			}
			result, _ := voiced(t, s, Options{Voicing: Covered, Figure: lead.AfterBeat})
			over := map[score.Time][]int{}
			for _, tone := range result.Tones() {
				n, afterBeat := tone.First(), tone.Onset.Floor(score.Quarters(2)) != tone.Onset
				if n.Staff == 1 && !n.Melody && afterBeat {
					over[tone.Onset] = append(over[tone.Onset], n.Pitch.MIDI())
				}
			}
			if len(over) != 4 {
				t.Errorf("chords at %d moments, want 4", len(over))
			}
			for onset, keys := range over {
				if len(keys) != 2 || abs(keys[1]-keys[0]) > fourth || min(keys[0], keys[1]) <= c.melody {
					t.Errorf("at %s the hand strikes %v over %d", onset, keys, c.melody)
				}
				for _, key := range keys {
					if key%12 == c.melody%12 {
						t.Errorf("at %s %d doubles the melody", onset, key)
					}
				}
			}
		})
	}
}

// TestFromBass: a lone note that goes on by a step from a bass in the pedals is struck a step from
// it, where that is not under it, or not at all.
func TestFromBass(t *testing.T) {
	const torn = "no key a step from the bass that it goes on from"
	for _, c := range []struct {
		bass, passing int
		next          []int
		key           int
		why           string
	}{
		{53, 55, []int{0, 57}, 55, ""},
		{57, 55, []int{0, 53, 57, 60}, 0, torn},
	} {
		a := arrange(t, sung(score.Frac(1, 2), []int{77, c.bass}, []int{0, c.passing}, c.next, []int{0}, []int{77, 53}, []int{0}, []int{0, 57, 60}, []int{0}), Options{Voicing: Plain}, "accompany")
		for _, n := range a.notes {
			switch {
			case n.Onset != score.Frac(1, 2):
			case n.leftOut != c.why:
				t.Errorf("%s is left out for %q, want %q", n.Pitch, n.leftOut, c.why)
			case n.leftOut == "" && n.key() != c.key:
				t.Errorf("%s is struck on %d, want %d", n.Pitch, n.key(), c.key)
			}
		}
	}
}

// TestHeldMelody: a tone that the melody holds is heard already: of a chord struck under or
// over it the others come first.
func TestHeldMelody(t *testing.T) {
	s := sung(score.Quarter, []int{74, 46}, []int{0, 62, 65}, []int{0}, []int{0, 62, 65}) // D over B flat, D F
	a := arrange(t, s, Options{Voicing: Tenor}, "accompany")
	struck := 0
	for _, n := range a.with(accompaniment) {
		if n.Onset.Sign() == 0 {
			continue
		}
		if struck++; n.Pitch.MIDI() != 65 {
			t.Errorf("%s is struck", n.placed())
		}
	}
	if struck != 2 {
		t.Errorf("%d strikes, want F twice", struck)
	}
}

// TestHeldBeat: it costs more to strike nothing where the source holds a chord for two beats, unless
// all of it is doubled.
func TestHeldBeat(t *testing.T) {
	s := sung(score.Quarter, []int{84, 43}, []int{0, 48}, []int{0, 60}, []int{0})
	moments := arrange(t, s, Options{Voicing: Inverted}, "thin running figures").moments()
	for i, want := range []bool{false, false, true} {
		if moments[i].holds != want {
			t.Errorf("beat %d holds: %t", i+1, moments[i].holds)
		}
	}
	m := moments[2]
	for rank, more := range map[degreeRank]float64{chordRoot: gripSilentCost, doubled: 0} {
		m.tones[0].rank = rank
		if got := m.silence(); got != m.all+more {
			t.Errorf("silence for the %s costs %v, want %v", rank, got, m.all+more)
		}
	}
}
