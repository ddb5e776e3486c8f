package score_test

import (
	"errors"
	"strings"
	"testing"

	"undersong/score"
)

func TestErrorText(t *testing.T) {
	cause := errors.New("cause")
	for _, test := range []struct {
		err  score.Error
		want string
	}{
		{score.Error{Problem: "p"}, "p"},
		{score.Error{Problem: "p", Err: cause}, "p: cause"},
		{score.Error{Err: cause}, "cause"},
		{score.Error{Place: score.Place{Measure: "12a"}, Problem: "p"}, "measure 12a: p"},
		{score.Error{Place: score.Place{File: "song.mxl", Part: "P1", Measure: "12", Beat: "2 1/2"}, Problem: "p"},
			"song.mxl, part P1, measure 12, beat 2 1/2: p"},
		{score.Error{Place: score.Place{File: "a\nb \"c\".mxl", Measure: "1\x1b[2J"}, Problem: "p"},
			`a\nb "c".mxl, measure 1\x1b[2J: p`},
		{score.Error{Place: score.Place{Measure: strings.Repeat("1", 100)}, Problem: "p"},
			"measure " + strings.Repeat("1", 60) + "…: p"},
	} {
		if got := test.err.Error(); got != test.want {
			t.Errorf("%q, want %q", got, test.want)
		}
		if errors.Is(&test.err, cause) != (test.err.Err != nil) {
			t.Errorf("%q does not tell its cause", test.want)
		}
	}
}

func TestNoBeat(t *testing.T) {
	for _, name := range []string{"", "0", "-1", "two", "1 1/0", "2 1"} {
		if at, ok := score.BeatOnset(name, nil); ok {
			t.Errorf("beat %q is at %v", name, at)
		}
	}
}

func TestBeatName(t *testing.T) {
	meter := func(beats, unit int) []score.Time {
		return score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{beats}, Unit: unit}}}.Beats()
	}
	for _, test := range []struct {
		num, den int64
		beats    []score.Time
		want     string
	}{
		{0, 1, meter(4, 4), "1"}, {1, 1, meter(4, 4), "2"}, {3, 2, meter(4, 4), "2 1/2"}, {11, 3, meter(4, 4), "4 2/3"},
		{5, 1, meter(4, 4), "6"}, {9, 2, meter(4, 4), "5 1/2"}, {1, 2, meter(6, 8), "1 1/3"}, {3, 2, meter(6, 8), "2"},
		{3, 1, meter(6, 8), "3"}, {2, 1, meter(2, 2), "2"}, {1, 1, meter(2, 2), "1 1/2"}, {3, 2, meter(5, 8), "2"},
		{3, 1, nil, "4"}, {1, 2, nil, "1 1/2"},
	} {
		if got := score.BeatName(score.Frac(test.num, test.den), test.beats); got != test.want {
			t.Errorf("%d/%d in %v is beat %s, want %s", test.num, test.den, test.beats, got, test.want)
		}
		if got, ok := score.BeatOnset(test.want, test.beats); !ok || got != score.Frac(test.num, test.den) {
			t.Errorf("beat %s in %v is at %v, want %d/%d", test.want, test.beats, got, test.num, test.den)
		}
	}
}

func TestMeasures(t *testing.T) {
	for want, spans := range map[string][]string{
		"measure 3":       {score.MeasureSpan("3", "3")},
		"measures 3–5":    {score.MeasureSpan("3", "5")},
		"measures 1, 3–5": {"1", score.MeasureSpan("3", "5")},
		"measures 3b, X1": {"3b", "X1"},
	} {
		if got := score.Measures(spans...); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
