package instrument

import (
	"math"
	"slices"
	"testing"

	"undersong/instrument/acoustic"
)

// ratings is how pleasant listeners called two bells that sound together, by
// semitones between them (N = 113, Harrison & MacConnachie, "Consonance in the
// carillon", JASA 156(2) 2024, doi 10.1121/10.0028167). The lower bell was
// near F#4.
var ratings = map[int]float64{
	1: -1.04, 2: -0.65, 3: 0.37, 4: 0.02, 5: 0.31, 6: 0.07, 7: 0.23,
	8: 0.09, 9: 0.27, 10: 0.13, 11: -0.08, 12: 0.55, 13: -0.16, 14: 0.03,
}

// intervals is what a quantity is for every rated interval above the key that
// sounds F#4.
func intervals(quantity func(strokes ...Stroke) float64) map[int]float64 {
	const low = 54
	values := map[int]float64{}
	for n := range ratings {
		values[n] = quantity(Stroke{Key: low}, Stroke{Key: low + n})
	}
	return values
}

// TestPleasantnessAgainstRatings asks for a rank correlation of 0.7 and for
// the firm differences in the ratings. The weights of the model come from the
// whole curve of these ratings, so a second one is shown whose weights do not:
// those of Harrison & Pearce, "Simultaneous consonance in music perception and
// composition", Psychological Review 127(2), 2020 (package incon).
func TestPleasantnessAgainstRatings(t *testing.T) {
	tower := named(t, Default)
	rough := intervals(tower.Roughness)
	harmonic := intervals(func(s ...Stroke) float64 { return acoustic.Harmonicity(tower.sound(s)) })
	smooth, earlier := map[int]float64{}, map[int]float64{}
	for n := range ratings {
		smooth[n] = -rough[n]
		earlier[n] = -1.62*rough[n] + 1.78*harmonic[n]
	}
	pleasant := intervals(tower.Pleasantness)
	for _, model := range []struct {
		name   string
		values map[int]float64
	}{
		{"roughness alone", smooth}, {"weights of 2020", earlier}, {"pleasantness", pleasant},
	} {
		got := rankCorrelation(model.values, ratings)
		t.Logf("%s: rank correlation %.2f, from the best: %v", model.name, got, order(model.values))
		if got < 0.7 {
			t.Errorf("%s: rank correlation %.2f, want at least 0.7", model.name, got)
		}
	}
	ranks := order(pleasant)
	if ranks[0] != 12 || slices.Index(ranks, 3) > 4 {
		t.Errorf("the octave and the minor third are not high: %v", ranks)
	}
	if pleasant[3] < pleasant[4]+0.2 {
		t.Errorf("the minor third (%.2f) is not well above the major (%.2f)", pleasant[3], pleasant[4])
	}
	if !slices.Equal(ranks[12:], []int{2, 1}) {
		t.Errorf("the seconds are not the worst: %v", ranks)
	}
}

// order is the intervals from the one with the highest value down.
func order(values map[int]float64) (list []int) {
	for n := range values {
		list = append(list, n)
	}
	slices.SortFunc(list, func(a, b int) int {
		if values[a] > values[b] {
			return -1
		}
		return 1
	})
	return list
}

// rankCorrelation is Spearman's, of values without ties.
func rankCorrelation(a, b map[int]float64) float64 {
	inA, inB := order(a), order(b)
	var sum float64
	for n := range a {
		d := float64(slices.Index(inA, n) - slices.Index(inB, n))
		sum += d * d
	}
	count := float64(len(a))
	return 1 - 6*sum/(count*(count*count-1))
}

// TestPartials: tuning and measurements (Simpson tuning: Keltek Trust, "Note
// of a bell"; Perrin, Charnley & DePont 1983, in Whyte, Perrin & Halkon 2024).
func TestPartials(t *testing.T) {
	simpson := []float64{0.5, 1, 1.2, 1.5, 2}
	perrin := []float64{293. / 586, 1, 693. / 586, 883. / 586, 1172. / 586}
	tower := named(t, Default)
	for _, key := range []int{48, 90} {
		partials := tower.Bell(key).Partials
		for i := range simpson {
			low, high := min(simpson[i], perrin[i]), max(simpson[i], perrin[i])
			if r := partials[i].Ratio; r < low*0.99 || r > high*1.01 {
				t.Errorf("key %d: partial %d has ratio %v, measured %.3f to %.3f", key, i, r, low, high)
			}
		}
	}
	if low, high := tower.Bell(55), tower.Bell(56); len(low.Partials) != 11 || len(high.Partials) != 12 {
		t.Errorf("bells that sound %d and %d have %d and %d partials", low.Sounds, high.Sounds, len(low.Partials), len(high.Partials))
	}
}

// TestStillRinging: the longer ago a clashing bell was struck, and the softer,
// the less it takes away; in the end nothing.
func TestStillRinging(t *testing.T) {
	tower := named(t, Default)
	alone := tower.Pleasantness(Stroke{Key: 60})
	last := tower.Pleasantness(Stroke{Key: 60}, Stroke{Key: 59})
	if last > alone-0.5 {
		t.Errorf("a semitone makes a bell only %.2f less pleasant", alone-last)
	}
	for _, ago := range []float64{0.5, 1, 2, 4, 8} {
		with := tower.Pleasantness(Stroke{Key: 60}, Stroke{Key: 59, Ago: ago})
		if with <= last || with > alone {
			t.Errorf("after %v s there is %.3f; %.3f before and %.3f alone", ago, with, last, alone)
		}
		last = with
	}
	if got := tower.Pleasantness(Stroke{Key: 60}, Stroke{Key: 59, Ago: 60}); math.Abs(got-alone) > 1e-6 {
		t.Errorf("after a minute a bell still counts: %v, alone %v", got, alone)
	}
	soft := tower.Roughness(Stroke{Key: 60}, Stroke{Key: 59, Gain: -12})
	if even := tower.Roughness(Stroke{Key: 60}, Stroke{Key: 59}); soft >= even {
		t.Errorf("a soft clash is as rough (%v) as a loud one (%v)", soft, even)
	}
}

func TestStrokesOfOneBell(t *testing.T) {
	tower := named(t, Default)
	once := tower.Pleasantness(Stroke{Key: 60}, Stroke{Key: 64})
	for _, strokes := range [][]Stroke{
		{{Key: 60}, {Key: 60}, {Key: 64}},
		{{Key: 60, Ago: 3}, {Key: 64}, {Key: 60}},
	} {
		if got := tower.Pleasantness(strokes...); math.Abs(got-once) > 1e-12 {
			t.Errorf("%v: %v, want the later stroke alone: %v", strokes, got, once)
		}
	}
}

func TestLevel(t *testing.T) {
	tower := named(t, Default)
	if got := tower.Level(48, 0); got != 0 {
		t.Errorf("the lowest bell at mf has %v dB", got)
	}
	for i, mark := range []string{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"} {
		d, ok := ParseDynamic(mark)
		if want := 5 * float64(i-4); !ok || !near(tower.Level(48, d)+100, want+100, 1e-9) {
			t.Errorf("the lowest bell at %s has %v dB, want %v", mark, tower.Level(48, d), want)
		}
	}
	for _, mark := range []string{"", "sfz", "F", "pppp"} {
		if _, ok := ParseDynamic(mark); ok {
			t.Errorf("%q is a dynamic", mark)
		}
	}
}

// TestWeakSmallBells: one number makes a tower's small bells weak.
func TestWeakSmallBells(t *testing.T) {
	strong, weak := named(t, Default), named(t, Default)
	weak.Casting.SmallBells = 0
	if strong.Level(60, 0) != weak.Level(60, 0) {
		t.Error("the casting of small bells changes the large ones")
	}
	if d := strong.Level(96, 0) - weak.Level(96, 0); d < 6 {
		t.Errorf("the highest bell is only %.1f dB weaker", d)
	}
}
