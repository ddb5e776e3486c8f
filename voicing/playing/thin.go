package playing

import "slices"

// Thin leaves out strokes until the rest can be played: of each problem the one
// that is the least loss, of equal ones the last. Quick leaps stay. It gives
// the indexes of what it left out, in order, and who plays the rest.
//
// Before: C4 E4 G4 C5 E5 for two hands, where G4 is the least loss. After: C4 E4
// C5 E5.
func (p *Player) Thin(strokes []Stroke, loss func(i int) float64) (leftOut []int, a Assignment) {
	kept := make([]int, len(strokes))
	for i := range kept {
		kept[i] = i
	}
	for {
		rest := make([]Stroke, len(kept))
		for k, i := range kept {
			rest[k] = strokes[i]
		}
		a = p.Assign(rest)
		out := leastLoss(a.Problems, func(k int) float64 { return loss(kept[k]) })
		if len(out) == 0 {
			break
		}
		for _, k := range out {
			leftOut = append(leftOut, kept[k])
			kept[k] = -1
		}
		kept = slices.DeleteFunc(kept, func(i int) bool { return i < 0 })
	}
	slices.Sort(leftOut)
	return leftOut, a.spreadTo(len(strokes), kept)
}

// leastLoss picks a stroke of each problem. Of problems that share a stroke
// only the first counts, since the others may go with it.
func leastLoss(problems []Problem, loss func(k int) float64) []int {
	var out []int
	touched := map[int]bool{}
	for _, p := range problems {
		if p.Reason == Leap || slices.ContainsFunc(p.Strokes, func(k int) bool { return touched[k] }) {
			continue
		}
		least := p.Strokes[0]
		for _, k := range p.Strokes {
			touched[k] = true
			if loss(k) <= loss(least) {
				least = k
			}
		}
		out = append(out, least)
	}
	return out
}

// spreadTo is an assignment of the strokes kept as one of all n.
func (a Assignment) spreadTo(n int, kept []int) Assignment {
	all := Assignment{Limbs: make([]Limb, n)}
	for k, i := range kept {
		all.Limbs[i] = a.Limbs[k]
	}
	for _, p := range a.Problems {
		strokes := make([]int, len(p.Strokes))
		for j, k := range p.Strokes {
			strokes[j] = kept[k]
		}
		p.Strokes = strokes
		all.Problems = append(all.Problems, p)
	}
	return all
}
