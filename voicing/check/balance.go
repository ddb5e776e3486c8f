package check

import (
	"fmt"
	"math"
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
)

// sureEnough is the sureness, in per cent, from which a phrase of the melody is
// not doubted: the project's own figure.
const sureEnough = 75

// standsClear is how much louder than what is struck with it the melody has to be,
// in dB of the loudness model, to stand clear (J. Denyn, in Heemschut, Feb
// 1944: part melody and counter-melody in register and level). The figure is
// the project's own: half of the power is 3.
const standsClear = 3.0

// findMelody marks the strokes of the melody, and those of its grace notes,
// where it is sure what that is: a sung line, or what the user says; else the
// line that is marked louder than all others, where there is one; else what
// package melody finds.
func (c *checker) findMelody(tones []score.Tone, all []struck, o Options) {
	if o.Tune != nil {
		c.report.Melody = "as it is known"
		for i := range all {
			all[i].melody = o.Tune(&tones[all[i].index])
		}
		return
	}
	rules := o.Melody
	tune := melody.Find(c.score, tones, melody.Options{Overrules: rules})
	if len(rules) == 0 && !given(tune) && c.loudest(all) {
		c.report.Melody = "the line that is marked loudest"
		return
	}
	if len(tune.Tones) == 0 {
		return
	}
	c.report.Melody = tune.From
	sure, unsure := map[int]bool{}, -1
	for _, p := range tune.Phrases {
		for _, t := range tune.Tones[p.First:p.Last] {
			sure[t] = p.Sure >= sureEnough
			if at := tones[t].Pieces[0].Measure; !sure[t] && at > unsure {
				c.report.Unsure = append(c.report.Unsure, c.number(at))
				unsure = at
			}
		}
	}
	for _, t := range melody.Graces(tones, tune) {
		sure[t] = true
	}
	for i := range all {
		all[i].melody = sure[all[i].index]
	}
}

// given tells whether the score or the user sets the melody apart.
func given(tune melody.Line) bool {
	return len(tune.Phrases) > 0 && !slices.ContainsFunc(tune.Phrases, func(p melody.Phrase) bool { return p.Sure < 100 })
}

// mostLines is how many lines a score can have for one to be the loudest: more
// than a carillon score has.
const mostLines = 12

// loudest takes the highest notes of the line that is marked louder than all
// others for the melody, if there is such a line most of the time.
func (c *checker) loudest(all []struck) bool {
	lines := map[line]bool{}
	for i := range all {
		lines[all[i].line()] = true
	}
	if len(lines) > mostLines {
		return false
	}
	top := map[score.Time]*struck{}
	onsets := map[score.Time]bool{}
	for i := range all {
		s := &all[i]
		onsets[s.tone.Onset] = true
		if before := top[s.tone.Onset]; c.standsOut(s, lines) && (before == nil || before.key < s.key) {
			top[s.tone.Onset] = s
		}
	}
	if 2*len(top) < len(onsets) {
		return false
	}
	for _, s := range top {
		s.melody = true
	}
	return true
}

// standsOut tells whether the line of a stroke is marked louder than all
// others.
func (c *checker) standsOut(s *struck, lines map[line]bool) bool {
	for other := range lines {
		if other != s.line() && c.levels.of(other, s.tone.Onset) >= s.level {
			return false
		}
	}
	return len(lines) > 1
}

// power is that of the melody of a moment, and of the rest.
func (c *checker) power(m *moment) (melody, rest float64) {
	for _, b := range m.bells {
		power := math.Pow(10, c.tower.Level(b.key, b.level)/10)
		if b.melody {
			melody += power
		} else {
			rest += power
		}
	}
	return melody, rest
}

// margin is how many dB the melody of a moment is louder than the rest.
func (c *checker) margin(m *moment) (dB float64, known bool) {
	melody, rest := c.power(m)
	return 10 * math.Log10(melody/rest), melody > 0 && rest > 0
}

// loudness gives each measure how loud the melody and the rest are.
func (c *checker) loudness(moments []moment) {
	melody, rest := make([][]float64, len(c.report.Measures)), make([][]float64, len(c.report.Measures))
	for i := range moments {
		at := moments[i].first.measure
		tune, others := c.power(&moments[i])
		if tune > 0 {
			melody[at] = append(melody[at], 10*math.Log10(tune))
		}
		if others > 0 {
			rest[at] = append(rest[at], 10*math.Log10(others))
		}
	}
	for i := range c.report.Measures {
		m := &c.report.Measures[i]
		m.Melody, m.Rest = middleOf(melody[i]), middleOf(rest[i])
	}
}

// middleOf is the median of values, nil of none.
func middleOf(values []float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	value := middle(values)
	return &value
}

// balance gives each measure the middle margin of its moments, and finds those
// where it is less than enough to stand clear.
func (c *checker) balance(moments []moment) {
	margins := make([][]float64, len(c.report.Measures))
	least, smallest := make([]*moment, len(c.report.Measures)), make([]float64, len(c.report.Measures))
	for i := range moments {
		m := &moments[i]
		at := m.first.measure
		dB, known := c.margin(m)
		if !known {
			continue
		}
		margins[at] = append(margins[at], dB)
		if least[at] == nil || dB < smallest[at] {
			least[at], smallest[at] = m, dB
		}
	}
	for i, all := range margins {
		if len(all) == 0 {
			continue
		}
		value := middle(all)
		c.report.Measures[i].Margin = &value
		if value < standsClear {
			c.find(least[i].first, Finding{
				Category: Balance, What: "melody covered", Value: value, Limit: standsClear, Unit: "dB",
				Text: fmt.Sprintf("the melody is %s what is struck with it, %.0f over is clear; least against %s: mark the rest softer or thin it",
					louder(value), standsClear, names(rest(least[i].bells))),
			})
		}
	}
}

// louder words a margin that is less than enough.
func louder(dB float64) string {
	if dB < 0 {
		return fmt.Sprintf("%.0f dB under", -dB)
	}
	v, _ := apart(dB, standsClear, 0)
	return v + " dB over"
}

func rest(bells []bell) []bell {
	return slices.DeleteFunc(slices.Clone(bells), func(b bell) bool { return b.melody })
}
