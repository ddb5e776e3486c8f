package main

import (
	"math"
	"math/rand/v2"

	"undersong/voicing/melody/internal/model"
)

// growth is how a forest is grown: by Newton boosting of the logistic loss.
type growth struct {
	trees   int
	rate    float64 // what part of its step each tree takes
	rows    float64 // share of the rows each tree sees
	columns float64 // share of the columns each tree may ask
	ridge   float64 // weight of a leaf's pull to zero
	seed    uint64
}

// grower holds what the trees of one forest share.
type grower struct {
	*table
	growth
	random *rand.Rand
	logit  []float64
	rows   []int32  // the rows the tree at hand sees
	slope  []slopes // of those
	leaf   []uint8  // of those
	all    []sums   // by column asked
	// smaller tells which half of each leaf of the level before has fewer rows.
	smaller [1 << model.Depth]bool
}

// grow fits a forest to t.
func grow(t *table, how growth) model.Forest {
	g := &grower{table: t, growth: how, random: rand.New(rand.NewPCG(how.seed, 1))}
	g.logit = make([]float64, len(t.is))
	var trees []model.Tree
	for range how.trees {
		g.sample()
		tree := g.tree()
		g.step(&tree)
		trees = append(trees, tree)
	}
	return withoutIdle(t.cuts, trees)
}

// withoutIdle is the forest of trees with only those of the cuts that a tree
// asks about.
func withoutIdle(cuts [][]int16, trees []model.Tree) model.Forest {
	used := make([][maxBins]bool, len(cuts))
	for _, t := range trees {
		for d, c := range t.Column {
			used[c][t.Cut[d]] = true
		}
	}
	f := model.Forest{Cuts: make([][]int16, len(cuts)), Trees: trees}
	number := make([][maxBins]uint8, len(cuts))
	for c := range cuts {
		for k, cut := range cuts[c] {
			if used[c][k] {
				number[c][k] = uint8(len(f.Cuts[c]))
				f.Cuts[c] = append(f.Cuts[c], cut)
			}
		}
	}
	for k := range trees {
		for d, c := range trees[k].Column {
			trees[k].Cut[d] = number[c][trees[k].Cut[d]]
		}
	}
	return f
}

// sure is the logit of a likelihood of .95.
var sure = math.Log(.95 / .05)

// sample picks the rows for a tree and works out their slopes. Of the rows that
// the forest is sure of it takes a fifth as many and counts them five times.
func (g *grower) sample() {
	g.rows, g.slope = g.rows[:0], g.slope[:0]
	for r, logit := range g.logit {
		y, right := 0.0, -logit
		if g.is[r] {
			y, right = 1, logit
		}
		share, weight := g.growth.rows, g.w[r]
		if right > sure {
			share, weight = share/5, weight*5
		}
		if g.random.Float64() < share {
			p := 1 / (1 + math.Exp(-logit))
			g.rows = append(g.rows, int32(r))
			g.slope = append(g.slope, packed(weight*(y-p), weight*p*(1-p)))
		}
	}
	g.leaf = make([]uint8, len(g.rows))
}

// sums are the slopes of one column's bins in every leaf.
type sums [(1 << model.Depth) * maxBins]slopes

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
	if len(g.all) < len(asked) {
		g.all = make([]sums, len(asked))
	}
	all := g.all[:len(asked)]
	some := make([]int32, len(g.rows)) // the rows to be summed up, by their place among those seen
	for k := range some {
		some[k] = int32(k)
	}
	for d := range model.Depth {
		q := g.best(asked, all, some, d)
		t.Column[d], t.Cut[d] = uint8(q.column), uint8(q.bin)
		some = g.part(q, d, some[:0])
	}
	g.fillLeaves(&t)
	return t
}

// part puts the rows into the leaves of the next level. It returns those of
// the smaller half of each leaf: the sums of the others follow from the whole.
func (g *grower) part(q question, d int, some []int32) []int32 {
	var count [1 << model.Depth]int
	for k, r := range g.rows {
		if int(g.cells[q.column][r]) > q.bin {
			g.leaf[k] |= 1 << d
		}
		count[g.leaf[k]]++
	}
	for l := range 1 << d {
		g.smaller[l], g.smaller[l|1<<d] = count[l] < count[l|1<<d], count[l] >= count[l|1<<d]
	}
	for k, l := range g.leaf {
		if g.smaller[l] {
			some = append(some, int32(k))
		}
	}
	return some
}

func (g *grower) fillLeaves(t *model.Tree) {
	var sum [1 << model.Depth]slopes
	for k, s := range g.slope {
		sum[g.leaf[k]] += s
	}
	var worth [1 << model.Depth]float64
	most := 0.0
	for l := range sum {
		first, second := sum[l].unpacked()
		worth[l] = 1000 * g.rate * first / (second + g.ridge)
		most = max(most, math.Abs(worth[l]))
	}
	for most > math.MaxInt8 {
		most /= 2
		t.Shift++
	}
	for l, w := range worth {
		t.Leaf[l] = int8(math.Round(w / float64(int(1)<<t.Shift)))
	}
}

// best is the question of level d that helps most when asked in all leaves at
// once. all are the sums of the level before.
func (g *grower) best(columns []int, all []sums, some []int32, d int) question {
	best := question{gain: math.Inf(-1)}
	for i, c := range columns {
		g.addUp(&all[i], c, some, d)
		if q := g.bestOf(&all[i], c, 1<<d); q.gain > best.gain {
			best = q
		}
	}
	return best
}

// addUp makes the sums of level d of those of the level before: it sums up
// some, the rows of the smaller halves, and takes them from the whole.
func (g *grower) addUp(all *sums, column int, some []int32, d int) {
	var part sums
	cells := g.cells[column]
	for _, k := range some {
		part[(int(g.leaf[k])*maxBins+int(cells[g.rows[k]]))%len(part)] += g.slope[k]
	}
	if d == 0 {
		*all = part
		return
	}
	for low := range 1 << (d - 1) {
		l, h := all.of(low), all.of(low|1<<(d-1))
		for b, whole := range l {
			if g.smaller[low] {
				l[b] = part.of(low)[b]
			} else {
				l[b] = whole - part.of(low | 1<<(d-1))[b]
			}
			h[b] = whole - l[b]
		}
	}
}

// bestOf is the best question that one column can ask in all leaves.
func (g *grower) bestOf(all *sums, column, leaves int) question {
	gains := make([]float64, len(g.cuts[column]))
	for l := range leaves {
		bins := all.of(l)
		var whole, low slopes
		for _, s := range bins {
			whole += s
		}
		if whole == 0 {
			continue
		}
		for b := range gains {
			low += bins[b]
			gains[b] += low.gain(g.ridge) + (whole - low).gain(g.ridge)
		}
	}
	best := question{column: column, gain: math.Inf(-1)}
	for b, gain := range gains {
		if gain > best.gain {
			best.bin, best.gain = b, gain
		}
	}
	return best
}

// of is the bins of one leaf.
func (s *sums) of(leaf int) []slopes { return s[leaf*maxBins : (leaf+1)*maxBins] }

// step moves every row's logit by what the tree says of it, as rounded in the
// table.
func (g *grower) step(t *model.Tree) {
	var cells [model.Depth][]uint8
	for d, c := range t.Column {
		cells[d] = g.cells[c]
	}
	for r := range g.logit {
		leaf := 0
		for d := range cells {
			if cells[d][r] > t.Cut[d] {
				leaf |= 1 << d
			}
		}
		g.logit[r] += float64(t.Worth(leaf)) / 1000
	}
}
