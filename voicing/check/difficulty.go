package check

import (
	"math"
	"slices"

	"undersong/voicing/playing"
)

// Difficulty is how hard a score is to play, from 1, for a slow hand, to 5, for
// a virtuoso: the mean of the two highest grades of its figures. Figures, grades
// and the way to sum them up are the project's own.
type Difficulty struct {
	Level int `json:"level"`
	// Pace is how many moments a second there are in the busiest five seconds.
	Pace Graded `json:"pace"`
	// Effort is the share of the time from stroke to stroke that a limb needs to
	// get there, where one in ten strokes needs more.
	Effort Graded `json:"effort"`
	// Leaps is how many strokes of a limb in a hundred are an octave or more from
	// its last, within two seconds.
	Leaps Graded `json:"leaps"`
	// Together is how many notes are struck at once, where one in ten moments
	// has more.
	Together Graded `json:"together"`
	// Playable is false where some of it cannot be played at all.
	Playable bool `json:"playable"`
}

// Graded is a figure and its grade from 1 to 5.
type Graded struct {
	Value float64 `json:"value"`
	Grade int     `json:"grade"`
}

// The figures from which the grades 2, 3, 4 and 5 are given.
var (
	paceGrades     = [4]float64{1.5, 2.5, 4, 6}
	effortGrades   = [4]float64{0.25, 0.4, 0.6, 0.8}
	leapGrades     = [4]float64{2, 6, 12, 20}
	togetherGrades = [4]float64{3, 4, 5, 6}
)

func graded(value float64, from [4]float64) Graded {
	g := Graded{Value: math.Round(value*100) / 100, Grade: 1}
	for _, f := range from {
		if value >= f {
			g.Grade++
		}
	}
	return g
}

// busiest is the length, in s, of the stretch that Pace is taken from.
const busiest = 5.0

func (c *checker) difficulty(all []struck, a *playing.Assignment) {
	moments := c.moments(all)
	if len(moments) == 0 {
		c.report.Difficulty.Level = 1
		return
	}
	var together []float64
	pace, first := 0.0, 0
	for i := range moments {
		together = append(together, float64(len(moments[i].bells)))
		for moments[i].at-moments[first].at >= busiest {
			first++
		}
		pace = max(pace, float64(i-first+1)/busiest)
	}
	efforts, leaps := c.efforts(all)
	d := &c.report.Difficulty
	d.Pace, d.Effort = graded(pace, paceGrades), graded(ninth(efforts), effortGrades)
	d.Together = graded(ninth(together), togetherGrades)
	if len(efforts) > 0 {
		d.Leaps = graded(100*float64(leaps)/float64(len(efforts)), leapGrades)
	} else {
		d.Leaps.Grade = 1
	}
	grades := []int{d.Pace.Grade, d.Effort.Grade, d.Leaps.Grade, d.Together.Grade}
	slices.Sort(grades)
	d.Level = (grades[2] + grades[3] + 1) / 2
	d.Playable = a.Playable()
}

// ninth is the value that one in ten is above.
func ninth(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	return values[(len(values)-1)*9/10]
}

// efforts are, for every stroke of a limb but its first, the share of the time
// since its last that it takes; leaps is how many of them are quick octaves.
func (c *checker) efforts(all []struck) (efforts []float64, leaps int) {
	p := c.tower.Player
	last := map[playing.Limb]*struck{}
	for i := range all {
		s := &all[i]
		if s.missing {
			continue
		}
		before := last[s.limb]
		if before != nil && before.at == s.at {
			continue // another note of the same stroke
		}
		if last[s.limb] = s; before == nil {
			continue
		}
		need, way, octave := c.tower.HandTime(before.key, s.key), p.ManualDistance(before.key, s.key), p.ManualDistance(0, 12)
		if s.limb == playing.LeftFoot || s.limb == playing.RightFoot {
			need, way, octave = c.tower.FootTime(before.key, s.key), p.PedalDistance(before.key, s.key), p.PedalDistance(0, 12)
		}
		efforts = append(efforts, need/(s.at-before.at))
		if way >= octave && s.at-before.at < 2 {
			leaps++
		}
	}
	return efforts, leaps
}
