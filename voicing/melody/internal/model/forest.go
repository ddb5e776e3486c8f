package model

import "slices"

// Depth is the number of questions a tree asks.
const Depth = 6

// MaxCuts is how many cuts a column has at most.
const MaxCuts = 63

// Tree asks the same question of every note at each level, so that the
// answers, bit by bit, number the leaf: eight notes are asked at once.
type Tree struct {
	Column [Depth]uint8 // which column is asked
	Cut    [Depth]uint8 // whether it exceeds this cut of the column
	Leaf   [1 << Depth]int8
	Shift  uint8 // by how many bits a leaf is shifted left
}

// Worth is what a leaf adds to a score.
func (t *Tree) Worth(leaf int) int { return int(t.Leaf[leaf]) << t.Shift }

// Forest is trees whose scores add up, in thousandths of a logit.
type Forest struct {
	Cuts  [][]int16 // by column: the cuts its trees ask about, rising
	Trees []Tree
}

// Scores are the forest's scores of rows; a note without a row keeps the score
// it had before.
func (f *Forest) Scores(rows [][]int16, before []int) []int {
	scores := make([]int, len(rows))
	notes := make([]int, 0, len(rows))
	for i, row := range rows {
		if row == nil {
			scores[i] = before[i]
		} else {
			notes = append(notes, i)
		}
	}
	cuts := f.columnCuts(len(notes))
	inParts(len(notes), func(from, to int) {
		b := &block{cuts: cuts, bins: make([]uint64, len(f.Cuts)*blockNotes/8)}
		for some := range slices.Chunk(notes[from:to], blockNotes) {
			b.fill(rows, some)
			for t := range f.Trees {
				b.add(&f.Trees[t])
			}
			for k, i := range some {
				scores[i] = int(b.sum[k/8][k%8])
			}
		}
	})
	return scores
}

// blockNotes is how many notes are scored together, so that what is at hand
// stays near the processor.
const blockNotes = 1024

// block is notes while they are scored.
type block struct {
	cuts []columnCuts
	bins []uint64 // by column, by note, eight in a number: how many cuts its answer exceeds
	sum  [blockNotes / 8][8]int32
	size int // notes, rounded up to eight
}

// fill takes up notes and their answers, a few notes at a time: their rows
// stay near the processor while it goes through the columns.
func (b *block) fill(rows [][]int16, notes []int) {
	b.size = (len(notes) + 7) / 8 * 8
	clear(b.sum[:b.size/8])
	const few = 32
	for from := 0; from < len(notes); from += few {
		for k := range b.cuts {
			c := &b.cuts[k]
			bins := b.bins[(c.column*blockNotes+from)/8:]
			for j, at := 0, from; at < min(from+few, len(notes)); j, at = j+1, at+8 {
				bins[j] = c.binsOf(rows, notes[at:min(at+8, len(notes))])
			}
		}
	}
}

// columnCuts is the cuts of a column that some tree asks.
type columnCuts struct {
	column int
	cuts   []int16
	table  []uint8 // by answer less the lowest cut: how many cuts it exceeds; nil if they lie wide apart
}

// columnCuts are those of all columns that some tree asks, for so many notes.
func (f *Forest) columnCuts(notes int) []columnCuts {
	var all []columnCuts
	for c, cuts := range f.Cuts {
		if len(cuts) > 0 {
			all = append(all, newColumnCuts(c, cuts, min(widest, 4*notes)))
		}
	}
	return all
}

// widest is the longest table worth its room; for few notes a shorter one is, as it
// takes longer to make than to search the cuts for them.
const widest = 16384

func newColumnCuts(column int, cuts []int16, widest int) columnCuts {
	c := columnCuts{column: column, cuts: cuts}
	first, last := int(cuts[0]), int(cuts[len(cuts)-1])
	if last-first >= widest {
		return c
	}
	c.table = make([]uint8, last-first+2)
	exceeded := 0
	for k := range c.table {
		for exceeded < len(cuts) && first+k > int(cuts[exceeded]) {
			exceeded++
		}
		c.table[k] = uint8(exceeded)
	}
	return c
}

// binsOf is the bins of up to eight notes, a byte each: how many of the cuts
// their answers exceed.
func (c *columnCuts) binsOf(rows [][]int16, notes []int) uint64 {
	var bins uint64
	if len(c.table) == 0 {
		for j, i := range notes {
			at, _ := slices.BinarySearch(c.cuts, rows[i][c.column])
			bins |= uint64(at) << (8 * j)
		}
		return bins
	}
	first, table := int(c.cuts[0]), c.table
	for j, i := range notes {
		at := min(max(0, int(rows[i][c.column])-first), len(table)-1)
		bins |= uint64(table[at]) << (8 * j)
	}
	return bins
}

// eight is a byte eight times.
const eight = 0x0101010101010101

// add adds what the tree says to the sums.
func (b *block) add(t *Tree) {
	var worth [1 << Depth]int32
	for l := range worth {
		worth[l] = int32(t.Worth(l))
	}
	// The six levels are written out: this is where the time goes.
	c, k := &t.Column, &t.Cut
	b0, b1, b2 := b.of(c[0]), b.of(c[1]), b.of(c[2])
	b3, b4, b5 := b.of(c[3]), b.of(c[4]), b.of(c[5])
	l0, l1, l2 := lack(k[0]), lack(k[1]), lack(k[2])
	l3, l4, l5 := lack(k[3]), lack(k[4]), lack(k[5])
	for k := range b.size / 8 {
		leaves := exceed(b0[k], l0)>>7 | exceed(b1[k], l1)>>6 | exceed(b2[k], l2)>>5 |
			exceed(b3[k], l3)>>4 | exceed(b4[k], l4)>>3 | exceed(b5[k], l5)>>2
		sum := &b.sum[k&(blockNotes/8-1)]
		sum[0] += worth[leaves&63]
		sum[1] += worth[leaves>>8&63]
		sum[2] += worth[leaves>>16&63]
		sum[3] += worth[leaves>>24&63]
		sum[4] += worth[leaves>>32&63]
		sum[5] += worth[leaves>>40&63]
		sum[6] += worth[leaves>>48&63]
		sum[7] += worth[leaves>>56&63]
	}
}

// of is the bins of a column, eight in a number.
func (b *block) of(column uint8) []uint64 {
	return b.bins[int(column)*(blockNotes/8):][:b.size/8]
}

// lack is, for eight notes, what a bin lacks to the highest bit of its byte
// when it just exceeds the cut.
func lack(cut uint8) uint64 { return uint64(127-cut) * eight }

// exceed sets the highest bit of every byte whose bin exceeds the cut. Bins are
// below 64: no byte runs over into the next.
func exceed(bins, lack uint64) uint64 { return (bins + lack) & (128 * eight) }
