package voicing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
)

// margin is how much louder than all that is struck with it the melody should be
// in the middle of a measure, in dB, in the loudness model of package instrument,
// where that can be had: the project's own figure. It has to be
// [melody.StandsClear].
const margin = 6

// apart is by how many marks the melody is over the accompaniment and over the
// bass.
type apart struct{ under, bass int }

// asFar is as far apart as they are marked.
var asFar = apart{mostApart, mostApart}

// powers are how loud the roles are at one moment when all is struck alike, as
// power. What is written in the melody's line is struck as loud as it.
type powers struct{ melody, beside, under, bass float64 }

// strike is what is struck together with the melody.
type strike struct {
	onset score.Time
	powers
}

// strikesWith are those of the melody that have something to stand clear of.
func (a *arrangement) strikesWith(melody [][]*note) []strike {
	var all []strike
	for _, m := range melody {
		if p := a.powersAt(m[0].Onset, m[0].line); p.melody > 0 && p.beside+p.under+p.bass > 0 {
			all = append(all, strike{m[0].Onset, p})
		}
	}
	return all
}

// powersAt are those of what is struck at an onset, where the melody is in a line.
func (a *arrangement) powersAt(onset score.Time, melody line) powers {
	var p powers
	for _, n := range a.struckAt(onset) {
		if n.seat == nowhere {
			continue // it has no key yet
		}
		power := math.Pow(10, a.figures.level[n.key()]/10)
		switch {
		case n.role == tune:
			p.melody += power
		case n.line == melody:
			p.beside += power
		case n.role == bass:
			p.bass += power
		default:
			p.under += power
		}
	}
	return p
}

// lowered are the powers where marks of so many dB part the roles.
func (p powers) lowered(dB float64, by apart) powers {
	p.under *= math.Pow(10, -dB*float64(by.under)/10)
	p.bass *= math.Pow(10, -dB*float64(by.bass)/10)
	return p
}

// middleMargin is by how many dB, in the middle of some moments, the melody is
// louder than the rest where they are so many marks apart.
func (a *arrangement) middleMargin(moments []powers, by apart) float64 {
	margins := make([]float64, len(moments))
	for i, p := range moments {
		l := p.lowered(a.tower.Dynamics, by)
		margins[i] = 10 * math.Log10(l.melody/(l.beside+l.under+l.bass))
	}
	return middle(margins)
}

// byMeasure are the powers of strikes, in time order, measure by measure.
func (a *arrangement) byMeasure(strikes []strike) [][]powers {
	var all [][]powers
	last := -1
	for _, s := range strikes {
		if measure := a.measureAt(s.onset); measure != last {
			all, last = append(all, nil), measure
		}
		all[len(all)-1] = append(all[len(all)-1], s.powers)
	}
	return all
}

// apartFor is as few marks as the melody needs to be over the rest to stand
// clear in every measure where marks can do that: what covers it more is lowered
// first.
func (a *arrangement) apartFor(strikes []strike) apart {
	by := apart{leastSteps, leastSteps}
	for _, measure := range a.byMeasure(strikes) {
		best, need := a.middleMargin(measure, asFar), float64(margin)
		if best < need {
			need = melody.StandsClear
		}
		for best >= need && a.middleMargin(measure, by) < need {
			by = by.lower(a.tower.Dynamics, measure)
		}
	}
	return by
}

// lower lowers what covers the melody more by one mark, if it is not as low as it
// can be.
func (by apart) lower(dB float64, moments []powers) apart {
	var sum powers
	for _, p := range moments {
		l := p.lowered(dB, by)
		sum.under, sum.bass = sum.under+l.under/p.melody, sum.bass+l.bass/p.melody
	}
	if by.bass == mostApart || by.under < mostApart && sum.under >= sum.bass {
		by.under++
	} else {
		by.bass++
	}
	return by
}

// tellLevels reports the measures in which the melody, as all is marked, does not stand
// clear in the middle of its strokes, and whether softer marks would help.
func (a *arrangement) tellLevels(marks []levelSign, stretches []levelStretch) {
	type told struct {
		measure         int
		first           score.Time
		margins, softly []float64 // as it is marked, and with the rest at the softest mark
	}
	var all []told
	for i := range stretches {
		in := &stretches[i]
		for _, s := range in.strikes {
			if measure := a.measureAt(s.onset); len(all) == 0 || all[len(all)-1].measure != measure {
				all = append(all, told{measure: measure, first: s.onset})
			}
			t, mark := &all[len(all)-1], markAt(marks, s.onset)
			t.margins = append(t.margins, a.middleMargin([]powers{s.powers}, in.marked(mark)))
			t.softly = append(t.softly, a.middleMargin([]powers{s.powers}, in.overSoftest(mark)))
		}
	}
	for _, t := range all {
		m, softly := middle(t.margins), middle(t.softly)
		if m >= melody.StandsClear {
			continue
		}
		why := fmt.Sprintf("marked %s, that would still be too loud", softestMark)
		switch in := stretchAt(stretches, t.first); {
		case in.asked():
			why = "that is marked as softly as the plan asks"
		case softly == m:
			why = "that is marked as softly as it can be"
		case softly >= melody.StandsClear:
			why = fmt.Sprintf("marked %s here, that would be soft enough", softestMark)
		}
		struck := a.struckAt(t.first)
		leads := struck[slices.IndexFunc(struck, func(n *note) bool { return n.role == tune })]
		a.finding(leads, "the %s does not stand clear in this measure: its margin over what is struck with it is %.1f dB, %.0f is clear; %s",
			leads.does(), math.Floor(10*m)/10+0, melody.StandsClear, why) // no -0, and nothing that reads as enough
	}
}

// markAt is the level in force at an onset, mf before the first.
func markAt(marks []levelSign, onset score.Time) string {
	after, _ := slices.BinarySearchFunc(marks, onset, func(m levelSign, t score.Time) int { return cmp.Or(m.onset.Cmp(t), -1) })
	for _, m := range slices.Backward(marks[:after]) {
		if text := m.d.Signs[0].Text; level(text) >= 0 {
			return text
		}
	}
	return "mf"
}

// middle is the median of values, which it sorts.
func middle(values []float64) float64 {
	slices.Sort(values)
	return (values[(len(values)-1)/2] + values[len(values)/2]) / 2
}
