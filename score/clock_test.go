package score_test

import (
	"math"
	"testing"

	"undersong/score"
)

func TestClock(t *testing.T) {
	tempo := func(onset int64, perMinute float64) score.Direction {
		return score.Direction{Onset: score.Quarters(onset), Sound: score.Sound{Tempo: perMinute}}
	}
	words := func(text string) score.Direction {
		return score.Direction{Signs: []score.Sign{{Name: "words", Text: text}}}
	}
	for _, c := range []struct {
		name       string
		directions []score.Direction
		seconds    float64 // of 8 quarter notes
		from       string
	}{
		{"nothing said", nil, 8 * 60. / 90, "assumed"},
		{"in numbers", []score.Direction{tempo(0, 120)}, 4, "the score"},
		{"a change", []score.Direction{tempo(0, 120), tempo(4, 60)}, 2 + 4, "the score"},
		{"two at once: the later counts", []score.Direction{tempo(0, 120), tempo(0, 60)}, 8, "the score"},
		{"soon after the beginning", []score.Direction{tempo(1, 60)}, 8, "the score"},
		{"a word", []score.Direction{words("Adagio molto")}, 8, `"Adagio molto"`},
		{"another word", []score.Direction{words("dolce")}, 8 * 60. / 90, "assumed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := &score.Measure{Length: score.Quarters(8), Directions: c.directions}
			clock := (&score.Score{Parts: []*score.Part{{Measures: []*score.Measure{m}}}}).Clock()
			if got := clock.Seconds(score.Quarters(8)); math.Abs(got-c.seconds) > 1e-9 {
				t.Errorf("%v seconds, not %v", got, c.seconds)
			}
			if _, from := clock.Tempo(); from != c.from {
				t.Errorf("from %s, not %s", from, c.from)
			}
		})
	}
}

func TestAssumedTempo(t *testing.T) {
	for unit, want := range map[int]float64{2: 132, 4: 90, 8: 90} {
		m := &score.Measure{Length: score.Whole, Times: []score.TimeChange{{Time: score.TimeSignature{
			Groups: []score.BeatGroup{{Beats: []int{2}, Unit: unit}},
		}}}}
		got, from := (&score.Score{Parts: []*score.Part{{Measures: []*score.Measure{m}}}}).Clock().Tempo()
		if math.Abs(got-want) > 1e-9 || from != "assumed" {
			t.Errorf("2/%d: %v quarters a minute, %s, not %v", unit, got, from, want)
		}
	}
}

// TestSteady: a clock of one tempo, which is no longer assumed.
func TestSteady(t *testing.T) {
	plain := &score.Score{Parts: []*score.Part{{Measures: []*score.Measure{{Length: score.Whole}}}}}
	if clock := score.Steady(60); clock.Seconds(score.Quarters(3)) != 3 || clock.Assumed() || !plain.Clock().Assumed() {
		t.Errorf("3 quarters at 60 a minute last %v seconds; assumed: %v, of a score without tempo %v", clock.Seconds(score.Quarters(3)), clock.Assumed(), plain.Clock().Assumed())
	}
	later := plain.Parts[0].Measures[0]
	later.Directions = []score.Direction{{Onset: score.Quarters(2), Sound: score.Sound{Tempo: 70}}}
	if plain.Clock().Assumed() {
		t.Error("a score that gives a tempo has none")
	}
}

// TestClockBefore: nothing is played before the beginning.
func TestClockBefore(t *testing.T) {
	m := &score.Measure{Length: score.Whole}
	clock := (&score.Score{Parts: []*score.Part{{Measures: []*score.Measure{m}}}}).Clock()
	if got := clock.Seconds(score.Quarters(-1)); got != 0 {
		t.Errorf("a quarter before the beginning is at %v seconds", got)
	}
}
