package main

import (
	"math"
	"slices"

	"undersong/voicing/melody/internal/model"
)

const maxBins = model.MaxCuts + 1

// table is rows of columns, each cut into at most maxBins bins.
type table struct {
	cuts  [][]int16 // by column: bin b holds what exceeds cuts[b-1] but not cuts[b]
	cells [][]uint8 // by column, by row
	is    []bool
	w     []float64
}

// newTable bins rows. Weights say how much each row counts.
func newTable(rows [][]int16, is []bool, weights []float64) *table {
	width := len(rows[0])
	t := &table{cuts: make([][]int16, width), cells: make([][]uint8, width), is: is, w: weights}
	for c := range width {
		t.cuts[c] = cutsOf(rows, c)
		t.cells[c] = make([]uint8, len(rows))
	}
	// A few rows at a time: they stay near the processor while it goes through the columns.
	const few = 64
	for from := 0; from < len(rows); from += few {
		for c, cuts := range t.cuts {
			for r := from; r < min(from+few, len(rows)); r++ {
				b, _ := slices.BinarySearch(cuts, rows[r][c])
				t.cells[c][r] = uint8(b)
			}
		}
	}
	return t
}

// cutsOf are cuts that part a sample of column c into even shares.
func cutsOf(rows [][]int16, c int) []int16 {
	var sample []int16
	for r := 0; r < len(rows); r += 1 + len(rows)/50000 {
		sample = append(sample, rows[r][c])
	}
	slices.Sort(sample)
	var cuts []int16
	for b := 1; b < maxBins; b++ {
		cut := sample[b*len(sample)/maxBins]
		if cut < sample[len(sample)-1] && (len(cuts) == 0 || cut > cuts[len(cuts)-1]) {
			cuts = append(cuts, cut)
		}
	}
	return cuts
}

// slopes are sums of the first and second derivatives of the loss, in units of
// 1/unit, packed into one number so that they are added at once: the first in
// the upper half, signed, the second in the lower.
type slopes int64

const unit = 1024

func packed(g, h float64) slopes {
	return slopes(math.Round(g*unit))<<32 + slopes(math.Round(h*unit))
}

// gain is how much of the loss a leaf of these slopes takes away.
func (s slopes) gain(ridge float64) float64 {
	g, h := s.unpacked()
	return g * g / (h + ridge)
}

func (s slopes) unpacked() (g, h float64) { return float64(s>>32) / unit, float64(uint32(s)) / unit }
