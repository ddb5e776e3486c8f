package voicing

import (
	"slices"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing/harmony"
	"undersong/voicing/lead"
	"undersong/voicing/melody"
)

// TestBassBelow: what the feet play of a plain arrangement, its repeats written
// out, is not over what the hands strike with it.
func TestBassBelow(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		o, err := Options{Voicing: Plain}.withDefaults()
		if err != nil {
			t.Fatal(err)
		}
		if s, err = s.WrittenOut(); err != nil {
			t.Fatal(err)
		}
		result, _, err := Voice(s, o)
		if err != nil {
			t.Fatal(err)
		}
		for at, struck := range strokes(result) {
			hands := append(struck.left, struck.right...)
			if len(struck.feet) == 0 || len(hands) == 0 || slices.Max(struck.feet) < slices.Min(hands) {
				continue
			}
			t.Errorf("at %s quarters the feet strike %v, the hands %v", at, struck.feet, hands)
		}
	})
}

// TestBassOfFigures: of the figures in which chord symbols are played, the feet
// have the basses and nothing else.
func TestBassOfFigures(t *testing.T) {
	s := scoretest.Score(t, "../examples/nets-in-the-loft/nets-in-the-loft.musicxml")
	for _, f := range lead.Figures() {
		o, err := Options{Voicing: Plain, Figure: f}.withDefaults()
		if err != nil {
			t.Fatal(err)
		}
		a := newArrangement(s, o)
		result, _, err := Voice(s, o)
		if err != nil {
			t.Fatal(err)
		}
		struck := 0
		for at, limbs := range strokes(result) {
			c := a.chordAt(at).Chord
			low := c.Root.Class()
			if c.HasBass {
				low = c.Bass.Class()
			}
			for _, key := range limbs.feet {
				if struck++; key%12 != low {
					t.Errorf("%s: at %s quarters the feet strike %s under %s", f, at, score.KeyName(key), harmony.Name(c))
				}
			}
		}
		if struck < 20 {
			t.Errorf("%s: the feet strike %d times", f, struck)
		}
	}
}

// TestLastBass: where pedals are light, the last chord has its root there though the
// harmony does not change: a piece ends on its root (common practice, no source).
func TestLastBass(t *testing.T) {
	measure := [][]int{{76, 48}, {0, 64, 67}, {0, 64, 67}, {0, 64, 67}}
	end := [][]int{{72, 48}, {0}, {0}, {0}}
	for _, v := range []Voicing{Tenor, Covered} {
		a := arrange(t, sung(score.Quarter, slices.Concat(measure, measure, end)...), Options{Voicing: v}, "settle")
		var pedals []score.Time
		for _, n := range a.where(func(n *note) bool { return n.seat == feet && n.leftOut == "" }) {
			pedals = append(pedals, n.Onset)
		}
		if want := []score.Time{{}, score.Quarters(8)}; !slices.Equal(pedals, want) {
			t.Errorf("%s: pedals at %v, want %v", v, pedals, want)
		}
	}
}

// TestNoBassOverHeld: what is struck on a beat over a lower note that is held is no bass.
func TestNoBassOverHeld(t *testing.T) {
	s := sung(score.Quarter, []int{72, 45}, []int{72, 57}, []int{72, 45}, []int{72, 57}, []int{76, 50}, []int{76}, []int{76}, []int{76})
	first := s.Parts[0].Measures[0].Notes
	first[slices.IndexFunc(first, func(n score.Note) bool { return n.Pitch.MIDI() == 45 })].Length = score.Quarters(2)
	a := arrange(t, s, Options{Voicing: Plain}, "place bass")
	for _, n := range a.where(func(n *note) bool { return n.Pitch.MIDI() == 57 }) {
		if held := n.Onset == score.Quarter; (n.role == bass) == held {
			t.Errorf("%s at %s, over a held note: %v, is bass: %v", n.Pitch, n.Onset, held, n.role == bass)
		}
	}
}

// TestNeighbourOfTheBass: a bass that is repeated while its bell rings is not struck
// again, but where it is what a neighbour leads back to.
func TestNeighbourOfTheBass(t *testing.T) {
	for name, between := range map[string]int{"a neighbour": 52, "a chord's fifth": 57} {
		strikes := [][]int{{74, 50}, {0, between}, {74, 50}, {0, 48}}
		a := arrange(t, sung(score.Frac(1, 2), slices.Concat(strikes, strikes)...), Options{Voicing: Plain}, "place bass")
		again := a.where(func(n *note) bool { return n.Onset == score.Quarter && n.Pitch.MIDI() == 50 })[0]
		if struck := again.leftOut == ""; struck != (between == 52) {
			t.Errorf("after %s the bass is struck again: %v", name, struck)
		}
	}
}

// TestSheetWithoutMelody: a lead sheet has its chords though it is told to have no melody in
// some measures.
func TestSheetWithoutMelody(t *testing.T) {
	s := scoretest.Score(t, "../examples/nets-in-the-loft/nets-in-the-loft.musicxml")
	_, all := voiced(t, s, Options{})
	_, some := voiced(t, s, Options{Melody: []melody.Overrule{{None: true, First: "1", Last: "4"}}})
	if all.Notes.Added == 0 || some.Notes.Added != all.Notes.Added {
		t.Errorf("%d notes are made of the chord symbols, and %d where measures 1-4 have no melody", all.Notes.Added, some.Notes.Added)
	}
}

// TestRepeatedBassSpelledAnew: a bass is repeated however it is spelled.
func TestRepeatedBassSpelledAnew(t *testing.T) {
	s := sung(score.Frac(1, 2), []int{77, 49}, []int{0, 56}, []int{77, 49}, []int{0, 56})
	notes := s.Parts[0].Measures[0].Notes
	again := slices.IndexFunc(notes, func(n score.Note) bool { return n.Onset == score.Quarter && n.Pitch.MIDI() == 49 })
	notes[again].Pitch = score.Pitch{Step: score.D, Alter: -100, Octave: notes[again].Pitch.Octave}
	a := arrange(t, s, Options{Voicing: Plain}, "place bass")
	for _, n := range a.where(func(n *note) bool { return n.Pitch.MIDI() == 49 }) {
		if struck := n.leftOut == ""; struck != (n.Onset == score.Time{}) {
			t.Errorf("%s at %s is struck: %v", n.Pitch, n.Onset, struck)
		}
	}
}
