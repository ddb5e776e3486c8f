package check

import (
	"fmt"
	"slices"

	"undersong/score"
	"undersong/voicing/ringing"
)

// blur gives each measure the middle of how strongly at its moments what still
// rings beats against what is struck (nothing damps a bell: rapid changes of
// harmony blur; Rensselaer, "Suggestions for Composing for Carillon").
func (c *checker) blur(moments []moment) {
	bells, past := ringing.Of(c.tower), ringing.Past(nil)
	values := make([][]float64, len(c.report.Measures))
	worst := make([]worstBlur, len(c.report.Measures))
	for i := range moments {
		m := &moments[i]
		var struck []ringing.Stroke
		for _, b := range m.bells {
			struck = append(struck, ringing.Stroke{Key: b.key, At: m.at, Gain: c.loudness(b)})
		}
		then, value, others := bells.Strike(past, struck)
		past = then
		at := m.first.measure
		values[at] = append(values[at], value)
		if value >= worst[at].value {
			worst[at] = worstBlur{value, m, others}
		}
	}
	for i, all := range values {
		if len(all) == 0 {
			continue
		}
		value := middle(all)
		c.report.Measures[i].Blur = value
		if value > ringing.Muddy {
			v, l := apart(value, ringing.Muddy, 1)
			c.find(worst[i].moment.first, Finding{
				Category: Blur, What: "muddy", Value: value, Limit: ringing.Muddy, Unit: "of the stroke",
				Text: fmt.Sprintf("what rings beats against the strokes %s times as strong as they are, over %s is muddy; most at %s on %s: fewer strokes, higher, or slower",
					v, l, names(worst[i].moment.bells), score.Count(worst[i].ringing, "ringing bell")),
			})
		}
	}
}

// worstBlur is the moment of a measure with the most of it.
type worstBlur struct {
	value   float64
	moment  *moment
	ringing int
}

// middle is the median of values, which it sorts.
func middle(values []float64) float64 {
	slices.Sort(values)
	return (values[(len(values)-1)/2] + values[len(values)/2]) / 2
}
