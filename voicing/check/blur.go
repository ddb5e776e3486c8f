package check

import (
	"fmt"
	"slices"

	"undersong/instrument"
)

// Blurred is how strongly, in the middle of a measure's strokes, what still
// rings may beat against what is struck: where it is as much as the stroke
// itself, the line is muddy. The figure is the project's own.
const Blurred = 1.0

// blur gives each measure the middle of how strongly at its moments what still
// rings beats against what is struck (nothing damps a bell: rapid changes of
// harmony blur; Rensselaer, "Suggestions for Composing for Carillon").
func (c *checker) blur(moments []moment) {
	r := newRinging(c.tower)
	last := map[int]instrument.Stroke{} // by key; Ago holds the time of the stroke
	values := make([][]float64, len(c.report.Measures))
	worst := make([]worstBlur, len(c.report.Measures))
	for i := range moments {
		m := &moments[i]
		var struck []instrument.Stroke
		for _, b := range m.bells {
			delete(last, b.key)
			struck = append(struck, instrument.Stroke{Key: b.key, Gain: c.tower.Level(b.key, b.level)})
		}
		ringing := r.sounding(last, m.at)
		value, at := r.against(struck, ringing), m.first.measure
		values[at] = append(values[at], value)
		if value >= worst[at].value {
			worst[at] = worstBlur{value, m, len(ringing)}
		}
		for _, s := range struck {
			s.Ago = m.at
			last[s.Key] = s
		}
	}
	for i, all := range values {
		if len(all) == 0 {
			continue
		}
		value := middle(all)
		c.report.Measures[i].Blur = value
		if value > Blurred {
			v, l := apart(value, Blurred, 1)
			c.find(worst[i].moment.first, Finding{
				Category: Blur, What: "muddy", Value: value, Limit: Blurred, Unit: "of the stroke",
				Text: fmt.Sprintf("what rings beats against the strokes %s times as strong as they are, over %s is muddy; most at %s on %s: fewer strokes, higher, or slower",
					v, l, names(worst[i].moment.bells), count(worst[i].ringing, "ringing bell")),
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

// sounding are the bells that ring at a time, the lowest first. Those that do
// not are forgotten.
func (r *ringing) sounding(last map[int]instrument.Stroke, now float64) []instrument.Stroke {
	var all []instrument.Stroke
	for key, s := range last {
		s.Ago = now - s.Ago
		if s.Ago > r.sound(key).heard {
			delete(last, key)
			continue
		}
		all = append(all, s)
	}
	slices.SortFunc(all, func(x, y instrument.Stroke) int { return x.Key - y.Key })
	return all
}
