package voicing

import "undersong/voicing/playing"

// deal gives every key of the accompaniment to a hand: the lower ones to the
// left, the upper ones to the right, as many as a hand can take. A figure stays
// in one hand as long as that has time to spare; else the hands share it.
func (a *arrangement) deal(moments []moment, chosen []grip) {
	steps := make([][]int, len(moments))
	for i := range moments {
		keys := chosen[i].keys[:chosen[i].n]
		for left := 0; left <= len(keys); left++ {
			if moments[i].handTakes(leftHand, keys[:left]) && moments[i].handTakes(rightHand, keys[left:]) {
				steps[i] = append(steps[i], left)
			}
		}
	}
	path := cheapest(steps,
		func(i int, left *int) float64 {
			cost := unevenCost * float64(abs(chosen[i].n-2**left)/2)
			switch moments[i].melodyLine {
			case leftHand:
				cost += besideCost * float64(*left)
			case rightHand:
				cost += besideCost * float64(chosen[i].n-*left)
			}
			return cost
		},
		func(i int, f, t *int) float64 {
			before, now := &chosen[i-1], &chosen[i]
			apart := moments[i].at - moments[i-1].at
			return a.handMove(before.keys[:*f], now.keys[:*t], apart) +
				a.handMove(before.keys[*f:before.n], now.keys[*t:now.n], apart) +
				handChange(before, *f, now, *t) + crossing(before, *f, now, *t)
		})
	for i := range moments {
		for k := range chosen[i].n {
			n := moments[i].tones[chosen[i].tones[k]].notes[0]
			n.seat = rightHand
			if k < steps[i][path[i]] {
				n.seat = leftHand
			}
		}
	}
}

// What a hand minds; the project's own figures.
const (
	unevenCost     = 1.0 // each note that one hand has beyond an even share
	besideCost     = 2.0 // each note in the melody's own hand, beside it or while it takes a breath
	handLateCost   = 8.0 // a stroke that comes sooner than the hand can
	handStrainCost = 1.5 // one that leaves no time to spare; less with the square of the time, as in package playing
	handLeapCost   = 1.0 // a quick leap (Arts at Michigan: "hard")
	handChangeCost = 0.6 // a figure, or a key of a chord, that goes over to the other hand
	crossingCost   = 1.2 // a hand that strikes beyond where the other one just was
)

// handMove is what it costs one hand to strike these keys after those.
func (a *arrangement) handMove(from, to []int, apart float64) float64 {
	if len(from) == 0 || len(to) == 0 {
		return 0
	}
	sum := 0.0
	far := to[0]
	if abs(to[len(to)-1]-from[0]) > abs(far-from[0]) {
		far = to[len(to)-1]
	}
	slower, way, player := ease[a.options.Difficulty].time, &a.figures.way, &a.tower.Player
	if apart < slower*a.figures.hand[from[0]][far] {
		sum += handLateCost
	}
	// How soon a bell can be struck again is the same for both hands.
	need := player.HandMove(max(way[from[0]][to[0]], way[from[len(from)-1]][to[len(to)-1]]))
	strain := min(slower*need/apart, 1)
	sum += handStrainCost * strain * strain
	if apart < playing.Slow && way[from[0]][far] > player.HandLeap {
		sum += handLeapCost
	}
	return sum
}

// handChange is the cost of single notes, and of keys struck again, that change hands.
func handChange(before *grip, left int, now *grip, nowLeft int) float64 {
	sum := 0.0
	for j, was := range before.keys[:before.n] {
		for k, key := range now.keys[:now.n] {
			single := before.n == 1 && now.n == 1
			if (single || key == was) && (j < left) != (k < nowLeft) {
				sum += handChangeCost
			}
		}
	}
	return sum
}

// crossing is the cost of a hand that goes past the keys which the other one
// struck just before.
func crossing(before *grip, left int, now *grip, nowLeft int) float64 {
	sum := 0.0
	if left > 0 && nowLeft < now.n && now.keys[nowLeft] < before.keys[left-1] {
		sum += crossingCost
	}
	if left < before.n && nowLeft > 0 && now.keys[nowLeft-1] > before.keys[left] {
		sum += crossingCost
	}
	return sum
}
