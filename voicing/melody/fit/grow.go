package main

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"undersong/voicing/melody/internal/model"
)

// growth is how a forest is grown: by Newton boosting of the logistic loss.
type growth struct {
	trees   [model.Looks]int // of each look
	rate    float64          // what part of its step each tree takes
	rows    float64          // share of the rows each tree sees
	columns float64          // share of the columns each tree may ask
	ridge   float64          // weight of a leaf's pull to zero
	seed    uint64
}

const maxBins = 64

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
	parallel(width, func(c int) {
		t.cuts[c] = cutsOf(rows, c)
		cells := make([]uint8, len(rows))
		for r, row := range rows {
			b, _ := slices.BinarySearch(t.cuts[c], row[c])
			cells[r] = uint8(b)
		}
		t.cells[c] = cells
	})
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

// parallel calls f for 0 to n-1 on two processors.
func parallel(n int, f func(i int)) {
	var wg sync.WaitGroup
	for k := range 2 {
		wg.Go(func() {
			for i := k; i < n; i += 2 {
				f(i)
			}
		})
	}
	wg.Wait()
}

// slopes are the sums of first and second derivatives of the loss.
type slopes struct{ g, h float64 }

func (s slopes) gain(ridge float64) float64 { return s.g * s.g / (s.h + ridge) }

// grower holds what the trees of one forest share.
type grower struct {
	*table
	growth
	random *rand.Rand
	logit  []float64
	rows   []int    // the rows the tree at hand sees
	slope  []slopes // of those
	leaf   []uint8  // of those
}

// grow fits a forest to t.
func grow(t *table, trees int, how growth) model.Forest {
	g := &grower{table: t, growth: how, random: rand.New(rand.NewPCG(how.seed, 1)), logit: make([]float64, len(t.is))}
	var forest model.Forest
	for range trees {
		g.sample()
		tree := g.tree()
		g.step(&tree)
		forest = append(forest, tree)
	}
	return forest
}

// sample picks the rows for a tree and works out their slopes. Of the rows that
// the forest is sure of it takes a fifth as many and counts them five times.
func (g *grower) sample() {
	g.rows, g.slope = g.rows[:0], g.slope[:0]
	for r := range g.is {
		p := 1 / (1 + math.Exp(-g.logit[r]))
		y := 0.0
		if g.is[r] {
			y = 1
		}
		share, weight := g.growth.rows, g.w[r]
		if math.Abs(y-p) < .05 {
			share, weight = share/5, weight*5
		}
		if g.random.Float64() < share {
			g.rows = append(g.rows, r)
			g.slope = append(g.slope, slopes{weight * (y - p), weight * p * (1 - p)})
		}
	}
	g.leaf = make([]uint8, len(g.rows))
}

// question is one level of a tree.
type question struct {
	column, bin int
	gain        float64
}

func (g *grower) tree() model.Tree {
	var t model.Tree
	var asked []int
	for c := range g.cells {
		if g.random.Float64() < g.columns && len(g.cuts[c]) > 0 {
			asked = append(asked, c)
		}
	}
	for d := range model.Depth {
		q := g.best(asked, 1<<d)
		t.Column[d], t.Threshold[d] = uint8(q.column), g.cuts[q.column][q.bin]
		for k, r := range g.rows {
			if int(g.cells[q.column][r]) > q.bin {
				g.leaf[k] |= 1 << d
			}
		}
	}
	var sum [1 << model.Depth]slopes
	for k, s := range g.slope {
		l := g.leaf[k]
		sum[l] = slopes{sum[l].g + s.g, sum[l].h + s.h}
	}
	for l, s := range sum {
		t.Leaf[l] = int16(math.Round(1000 * g.rate * s.g / (s.h + g.ridge)))
	}
	return t
}

// best is the question that helps most when asked in all leaves at once.
func (g *grower) best(columns []int, leaves int) question {
	found := make([]question, len(columns))
	parallel(len(columns), func(i int) { found[i] = g.bestOf(columns[i], leaves) })
	best := found[0]
	for _, q := range found {
		if q.gain > best.gain {
			best = q
		}
	}
	return best
}

func (g *grower) bestOf(column, leaves int) question {
	var sums [(1 << model.Depth) * maxBins]slopes
	cells := g.cells[column]
	for k, r := range g.rows {
		s := &sums[int(g.leaf[k])*maxBins+int(cells[r])]
		s.g += g.slope[k].g
		s.h += g.slope[k].h
	}
	best := question{column: column, gain: math.Inf(-1)}
	gains := make([]float64, len(g.cuts[column]))
	for l := range leaves {
		bins := sums[l*maxBins : (l+1)*maxBins]
		var all, low slopes
		for _, s := range bins {
			all = slopes{all.g + s.g, all.h + s.h}
		}
		for b := range gains {
			low = slopes{low.g + bins[b].g, low.h + bins[b].h}
			high := slopes{all.g - low.g, all.h - low.h}
			gains[b] += low.gain(g.ridge) + high.gain(g.ridge)
		}
	}
	for b, gain := range gains {
		if gain > best.gain {
			best.bin, best.gain = b, gain
		}
	}
	return best
}

// step moves every row's logit by what the tree says of it, as rounded in the
// table.
func (g *grower) step(t *model.Tree) {
	var bin [model.Depth]int
	for d, c := range t.Column {
		bin[d], _ = slices.BinarySearch(g.cuts[c], t.Threshold[d])
	}
	for r := range g.logit {
		leaf := 0
		for d, c := range t.Column {
			if int(g.cells[c][r]) > bin[d] {
				leaf |= 1 << d
			}
		}
		g.logit[r] += float64(t.Leaf[leaf]) / 1000
	}
}
