package playing

import (
	"cmp"
	"slices"
)

// chord is what one pair of limbs strikes at one time.
type chord struct {
	at    float64
	keys  []int   // each once, the lowest first
	wants []Limb  // by key
	notes [][]int // indexes of the strokes of each key
}

// sorted is the indexes of strokes in time order.
func sorted(strokes []Stroke) []int {
	order := make([]int, len(strokes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(strokes[i].At, strokes[j].At) })
	return order
}

// together cuts the order of strokes into moments.
func together(strokes []Stroke, order []int) [][]int {
	var moments [][]int
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && strokes[order[to]].At == strokes[order[from]].At {
			to++
		}
		moments = append(moments, order[from:to])
		from = to
	}
	return moments
}

// add puts a stroke into the chord.
func (c *chord) add(i int, s Stroke) {
	k, found := slices.BinarySearch(c.keys, s.Key)
	if found {
		c.notes[k] = append(c.notes[k], i)
		c.wants[k] = max(c.wants[k], s.Wants)
		return
	}
	c.keys = slices.Insert(c.keys, k, s.Key)
	c.wants = slices.Insert(c.wants, k, s.Wants)
	c.notes = slices.Insert(c.notes, k, []int{i})
}

// deal parts the strokes of a moment between hands and feet. A key struck on
// both keyboards is one stroke, and the feet's: a pedal pulls down the manual
// key of the same note (TowerBells.org, "Keyboard Ranges").
func deal(strokes []Stroke, moment []int, has func(Stroke) bool) (hands, feet chord) {
	hands.at = strokes[moment[0]].At
	feet.at = hands.at
	for _, i := range moment {
		if strokes[i].Pedal && has(strokes[i]) {
			feet.add(i, strokes[i])
		}
	}
	for _, i := range moment {
		switch s := strokes[i]; {
		case s.Pedal || !has(s):
		case slices.Contains(feet.keys, s.Key):
			feet.add(i, Stroke{Key: s.Key})
		default:
			hands.add(i, s)
		}
	}
	return hands, feet
}
