package voicing

import (
	"cmp"
	"math"
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
)

// steps is how many marks softer accompaniment and bass have to be for the
// melody to stand clear of both together at most of its strokes: the one that
// covers it more is lowered first.
func (balance) steps(a *arrangement, strikes [][]*note) (under, underBass int) {
	var all []powers
	for _, strike := range strikes {
		if p := a.powersAt(strike[0].Onset); p.melody > 0 && p.under+p.bass > 0 {
			all = append(all, p)
		}
	}
	under, underBass = leastSteps, leastSteps
	for len(all) > 0 {
		slices.SortFunc(all, func(p, q powers) int {
			return cmp.Compare(p.margin(a.tower.Dynamics, under, underBass), q.margin(a.tower.Dynamics, under, underBass))
		})
		tenth := all[len(all)/10]
		if tenth.margin(a.tower.Dynamics, under, underBass) >= margin {
			break
		}
		lower, other := &under, &underBass
		if l := tenth.lowered(a.tower.Dynamics, under, underBass); l.bass > l.under {
			lower, other = other, lower
		}
		if *lower == mostApart {
			lower = other
		}
		if *lower == mostApart {
			break
		}
		*lower++
	}
	return under, underBass
}

// powers are how loud the roles are at one moment when all is struck alike, as
// power.
type powers struct{ melody, under, bass float64 }

// powersAt are those of what is struck at an onset.
func (a *arrangement) powersAt(onset score.Time) powers {
	var p powers
	for _, n := range a.struckAt(onset) {
		power := math.Pow(10, a.figures.level[n.key()]/10)
		switch n.role {
		case tune:
			p.melody += power
		case bass:
			p.bass += power
		default:
			p.under += power
		}
	}
	return p
}

// lowered are the powers where accompaniment and bass are so many marks, of so
// many dB, softer.
func (p powers) lowered(dB float64, under, underBass int) powers {
	return powers{p.melody, p.under * math.Pow(10, -dB*float64(under)/10), p.bass * math.Pow(10, -dB*float64(underBass)/10)}
}

// margin is by how many dB the melody is louder than the rest, lowered.
func (p powers) margin(dB float64, under, underBass int) float64 {
	l := p.lowered(dB, under, underBass)
	return 10 * math.Log10(l.melody/(l.under+l.bass))
}

// tell reports the measures in which the melody, as all is marked, does not stand
// clear in the middle of its strokes.
func (balance) tell(a *arrangement, strikes [][]*note, marks []levelSign, stretches []stretch) {
	margins := make([][]float64, len(a.starts))
	first := make([]*note, len(a.starts))
	for _, strike := range strikes {
		at := strike[0].Onset
		m := a.marginAt(at, markAt(marks, at), linesAt(stretches, at))
		if math.IsInf(m, 0) {
			continue
		}
		i := a.measureAt(at)
		first[i] = cmp.Or(first[i], strike[0])
		margins[i] = append(margins[i], m)
	}
	for i, n := range first {
		if n == nil {
			continue
		}
		if m := middle(margins[i]); m < melody.StandsClear {
			why := "as softly as it can be"
			if n.way.softer > 0 {
				why = "as softly as the plan asks"
			}
			a.finding(n, "the melody does not stand clear in this measure: its margin over what is struck with it is %.1f dB, %.0f is clear, and the rest is marked %s",
				math.Round(10*m)/10+0, melody.StandsClear, why) // no -0
		}
	}
}

// markAt is the level in force at an onset, mf before the first.
func markAt(marks []levelSign, onset score.Time) string {
	after, _ := slices.BinarySearchFunc(marks, onset, func(m levelSign, t score.Time) int { return cmp.Or(m.onset.Cmp(t), -1) })
	for _, m := range slices.Backward(marks[:after]) {
		if text := m.d.Signs[0].Text; slices.Contains(levels, text) {
			return text
		}
	}
	return "mf"
}

// marginAt is by how many dB the melody is louder than what is struck with it
// where the source is marked so; infinite where one of the two is missing.
func (a *arrangement) marginAt(onset score.Time, mark string, marked []levelLine) float64 {
	loud, rest := 0.0, 0.0
	for _, n := range a.struckAt(onset) {
		dB := a.figures.level[n.key()]
		at := n.line
		if n.helped {
			at = lines[feet] // with an accent, so as loud as these
		}
		for _, l := range marked {
			if at == (line{l.staff, l.voice}) {
				text, _ := softer(mark, l.steps)
				dB += a.tower.Dynamics * float64(slices.Index(levels, text))
			}
		}
		if power := math.Pow(10, dB/10); n.role == tune {
			loud += power
		} else {
			rest += power
		}
	}
	return 10 * math.Log10(loud/rest)
}

// middle is the median of values, which it sorts.
func middle(values []float64) float64 {
	slices.Sort(values)
	return (values[(len(values)-1)/2] + values[len(values)/2]) / 2
}
