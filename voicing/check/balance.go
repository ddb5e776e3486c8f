package check

import (
	"fmt"
	"math"
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
)

// findMelody marks the strokes of the melody, and those of its grace notes and of what
// leads while it rests,
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
	if len(rules) == 0 && slices.Contains(tune.Told, false) && c.loudest(all) {
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
			sure[t] = p.Sure >= melody.SureEnough
			if at := tones[t].Pieces[0].Measure; !sure[t] && at > unsure {
				c.report.Unsure = append(c.report.Unsure, c.score.MeasureNumber(at))
				unsure = at
			}
		}
	}
	for _, t := range melody.Graces(tones, tune) {
		sure[t] = true
	}
	for _, l := range tune.Interludes {
		if l.SureOfAll() >= melody.SureEnough {
			for _, t := range melody.Leading(tones, l) {
				sure[t] = true
			}
		}
	}
	for i := range all {
		all[i].melody = sure[all[i].index]
	}
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
		power := math.Pow(10, c.loudness(b)/10)
		if b.melody {
			melody += power
		} else {
			rest += power
		}
	}
	return melody, rest
}

// loudness is that of the moments of a measure, in dB.
type loudness struct {
	melody, rest, margins []float64
	least                 *moment // where the margin is smallest
	smallest              float64
}

func (l *loudness) add(m *moment, melody, rest float64) {
	if melody > 0 {
		l.melody = append(l.melody, 10*math.Log10(melody))
	}
	if rest > 0 {
		l.rest = append(l.rest, 10*math.Log10(rest))
	}
	if melody == 0 || rest == 0 {
		return
	}
	margin := 10 * math.Log10(melody/rest)
	l.margins = append(l.margins, margin)
	if l.least == nil || margin < l.smallest {
		l.least, l.smallest = m, margin
	}
}

// middleOf is the median of values, which it sorts; nil of none.
func middleOf(values []float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	value := middle(values)
	return &value
}

// balance gives each measure how loud melody and rest are in the middle of its
// moments, and the middle margin, and finds those where that is less than enough
// to stand clear.
func (c *checker) balance(moments []moment) {
	loud := make([]loudness, len(c.report.Measures))
	for i := range moments {
		m := &moments[i]
		melody, rest := c.power(m)
		loud[m.first.measure].add(m, melody, rest)
	}
	for i := range loud {
		l, m := &loud[i], &c.report.Measures[i]
		m.Melody, m.Rest, m.Margin = middleOf(l.melody), middleOf(l.rest), middleOf(l.margins)
		if m.Margin == nil || *m.Margin >= melody.StandsClear {
			continue
		}
		c.find(l.least.first, Finding{
			Category: Balance, What: "melody covered", Value: *m.Margin, Limit: melody.StandsClear, Unit: "dB",
			Text: fmt.Sprintf("the melody is %s what is struck with it, %.0f over is clear; least against %s: mark the rest softer or thin it",
				louder(*m.Margin), melody.StandsClear, names(rest(l.least.bells))),
		})
	}
}

// louder words a margin that is less than enough.
func louder(dB float64) string {
	if dB <= -0.5 {
		return fmt.Sprintf("%.0f dB under", -dB)
	}
	v, _ := apart(max(dB, 0), melody.StandsClear, 0)
	return v + " dB over"
}

func rest(bells []bell) []bell {
	return slices.DeleteFunc(slices.Clone(bells), func(b bell) bool { return b.melody })
}
