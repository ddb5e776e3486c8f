package notation

import (
	"strings"
	"testing"

	"undersong/score"
)

// accidentals lists those of all notes, "-" for none, those that only remind
// in parentheses.
func accidentals(voices []Voice) string {
	var got []string
	for _, v := range voices {
		for _, e := range v.Events {
			for _, n := range e.Notes {
				word := n.Accidental
				if word == "" {
					word = "-"
				}
				if n.Cautionary {
					word = "(" + word + ")"
				}
				got = append(got, word)
			}
		}
	}
	return strings.Join(got, " ")
}

func key(fifths int, onset int64, staff int) score.KeyChange {
	return score.KeyChange{Onset: score.Quarters(onset), Staff: staff, Key: score.KeySignature{Fifths: fifths}}
}

func octaveShift(kind string, onset int64) score.Direction {
	return score.Direction{Onset: score.Quarters(onset), Signs: []score.Sign{{Name: "octave-shift", Type: kind, Size: 8}}}
}

func TestAccidentals(t *testing.T) {
	for _, c := range []struct {
		name, notes string
		change      func(*score.Measure)
		want        string
	}{
		{"by the key", "F#4:1 F4:1 F4:1 F#4:1", keys(key(1, 0, 0)), "- natural - sharp"},
		{"each octave for itself", "F#4:1 F#5:1 F#4:2", nil, "sharp sharp -"},
		{"flats", "B4:1 Bb4:1 Bbb4:1 Eb4:1", keys(key(-1, 0, 0)), "natural flat flat-flat flat"},
		{"double sharp", "F##4:1 F#4:1 F4:2", nil, "double-sharp sharp natural"},
		{"triple", "F###4:2 Bbbb4:2", nil, "triple-sharp triple-flat"},
		{"quarter-tones", "C+4:1 Cd4:1 C#+4:1 Cbd4:1", nil, "quarter-sharp quarter-flat three-quarters-sharp three-quarters-flat"},
		{"tied over", "F#4~:2 F#4:1 F#4:1", nil, "- sharp -"},
		{"courtesy", "F4!:1 F#4!:1 F#4!:1 F4:1", nil, "(natural) sharp (sharp) natural"},
		{"courtesy of a tied note", "F#4!~:2 F#4:2", nil, "(sharp) -"},
		{"both of a step at once", "1/1| F4:1 F4:1 F4:2 1/1| F#4:1 -:3", nil, "natural sharp natural -"},
		{"unison of two voices", "1/1| F#4:2 F#4:2 2/1| F#4:4", nil, "sharp - -"},
		{"voices read in time", "1/1| -:2 F4:2 2/1| F#4:1 -:3", nil, "natural sharp"},
		{"grace notes first", "F#4:g F#4:2 F4:2", nil, "sharp - natural"},
		{"a key inside the measure", "F#4:1 F#4:1 F#4:1 F4:1", keys(key(1, 2, 0)), "sharp - - natural"},
		{"a key of another staff", "1/1| F#4:1 -:3 5/2| F#4:1 -:3", keys(key(1, 0, 2)), "sharp -"},
		{"staves apart", "1/1| F#4:2 -:2 5/2| -:2 F#4:2", nil, "sharp sharp"},
		{"pieces of a note", "F#4:5/2 F#4:3/2", nil, "sharp - -"},
		{"no clef of pitches", "F#4:4", clef(score.Clef{Sign: "percussion"}, 0), "-"},
		{"hidden", "F#4:2 F#4:2", func(m *score.Measure) { m.Notes[0].Hidden = true }, "- sharp"},
		{"under an ottava both octaves count", "F#5:1 F#6:1 F5:1 F6:1", ottavaAt(1), "sharp sharp natural natural"},
		{"after an ottava", "F#5:1 F#5:1 F#5:1 F#5:1", ottavaAt(1, 3), "sharp sharp - -"},
		{"other", "C4:4", func(m *score.Measure) { m.Notes[0].Pitch.Alter = 33 }, "other"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := measure(t, c.notes)
			m.Times = timeChange("4/4")
			if c.change != nil {
				c.change(m)
			}
			if got := accidentals(engrave(m, 2, true)); got != c.want {
				t.Errorf("%s: got %v, want %s", c.notes, got, c.want)
			}
		})
	}
}

func keys(k ...score.KeyChange) func(*score.Measure) {
	return func(m *score.Measure) { m.Keys = k }
}

// ottavaAt begins an ottava at the first onset and ends it at the second.
func ottavaAt(onsets ...int64) func(*score.Measure) {
	kinds := []string{"down", "stop"}
	return func(m *score.Measure) {
		for i, o := range onsets {
			m.Directions = append(m.Directions, octaveShift(kinds[i], o))
		}
	}
}

// TestCarriedKey: what holds at the end of a measure holds in the next.
func TestCarriedKey(t *testing.T) {
	first, second := measure(t, "F#4:4"), measure(t, "F#4:2 F4:2")
	first.Times, first.Keys = timeChange("4/4"), []score.KeyChange{key(1, 2, 0)}
	ctx := NewContext(&score.Part{Staves: 1, Measures: []*score.Measure{first, second}})
	got := []string{accidentals(Measure(first, ctx)), accidentals(Measure(second, ctx))}
	if want := "sharp|- natural"; strings.Join(got, "|") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}
