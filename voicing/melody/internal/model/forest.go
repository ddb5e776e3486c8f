package model

// Depth is the number of questions a tree asks.
const Depth = 6

// Tree asks the same question of every note at each level, so that the
// answers, bit by bit, number the leaf.
type Tree struct {
	Column    [Depth]uint8 // which column is asked
	Threshold [Depth]int16 // whether it exceeds this
	Leaf      [1 << Depth]int16
}

// Score is the leaf that row falls into.
func (t *Tree) Score(row []int16) int {
	var leaf uint
	for d, c := range t.Column {
		// The sign bit of the difference, which no branch has to guess.
		leaf |= uint(uint64(int64(t.Threshold[d])-int64(row[c]))>>63) << d
	}
	return int(t.Leaf[leaf&(1<<Depth-1)])
}

// Forest is trees whose scores add up, in thousandths of a logit.
type Forest []Tree

// Scores are the forest's scores of rows; a note without a row keeps the score
// it had before.
func (f Forest) Scores(rows [][]int16, before []int) []int {
	scores := make([]int, len(rows))
	for i, row := range rows {
		if row == nil {
			scores[i] = before[i]
			continue
		}
		for t := range f {
			scores[i] += f[t].Score(row)
		}
	}
	return scores
}
