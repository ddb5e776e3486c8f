package playing

import (
	"math"
	"slices"
)

// Helped is how a line in the pedals is played when the hands help: a stroke that
// comes sooner than a foot can goes to a hand, which has the same bell, as long as
// those are no more than most. It gives them by index, and what of the line cannot
// be played even so. A bell that is struck again too soon is so by whatever limb.
func (p *Player) Helped(strokes []Stroke, most int) (byHand []int, left []Problem) {
	if p.InTurn(strokes) {
		return nil, nil
	}
	strokes = slices.Clone(strokes)
	left = p.impossible(strokes)
	for len(byHand) < most {
		best, rest := -1, left
		for _, i := range slices.Backward(firstTooSoon(left)) {
			strokes[i].Pedal = false
			if without := p.impossible(strokes); len(without) < len(rest) {
				best, rest = i, without
			}
			strokes[i].Pedal = true
		}
		if best < 0 {
			break
		}
		strokes[best].Pedal = false
		byHand, left = append(byHand, best), rest
	}
	slices.Sort(byHand)
	return byHand, left
}

// InTurn tells whether two limbs have time for a line of single strokes on one keyboard
// when they simply take turns, which spares the search for who else could.
func (p *Player) InTurn(strokes []Stroke) bool {
	var struck [128]int // which stroke of a key was the last, counted from 1
	for i, s := range strokes {
		limbs := &p.hands
		if s.Pedal {
			limbs = &p.feet
		}
		if !p.has(s) || i > 0 && (s.Pedal != strokes[i-1].Pedal || s.At <= strokes[i-1].At) {
			return false
		}
		if k := struck[s.Key]; k > 0 && s.At-strokes[k-1].At < p.repeat[s.Key] {
			return false
		}
		struck[s.Key] = i + 1
		if i > 1 && s.At-strokes[i-2].At < limbs.stroke+math.Abs(limbs.place[s.Key]-limbs.place[strokes[i-2].Key])/limbs.speed {
			return false
		}
	}
	return true
}

// impossible are the problems of strokes that no player can do.
func (p *Player) impossible(strokes []Stroke) []Problem {
	return slices.DeleteFunc(p.Assign(strokes).Problems, func(p Problem) bool { return !p.Reason.Impossible() })
}

// firstTooSoon are the strokes of the first problem that a hand could solve, the one
// that is late last.
func firstTooSoon(problems []Problem) []int {
	for _, p := range problems {
		if p.Reason == TooSoon && p.Pedals {
			return p.Strokes
		}
	}
	return nil
}

// Short is by what part of the time that it needs a problem comes too soon, from 0
// to 1; 1 where it is no matter of time.
func (p Problem) Short() float64 {
	switch p.Reason {
	case TooSoon, Repeated, Moving:
		return 1 - p.Value/p.Limit
	}
	return 1
}
