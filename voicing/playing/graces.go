package playing

// graceStep is how long before the next stroke a grace note is struck at most, in
// seconds: the project's own figure.
const graceStep = 0.15

// Graces are when grace notes are struck that lead to a stroke, in half of the time since
// the stroke before; -Inf where there is none. joins tells of each whether it is struck
// with the one before it.
func Graces(before, at float64, joins []bool) []float64 {
	strikes := 0
	for k, with := range joins {
		if k == 0 || !with {
			strikes++
		}
	}
	step := min(graceStep, (at-before)/2/float64(strikes))
	struck := make([]float64, len(joins))
	for k, with := range joins {
		if k > 0 && !with {
			strikes--
		}
		struck[k] = at - step*float64(strikes)
	}
	return struck
}
