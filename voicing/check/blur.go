package check

import (
	"fmt"
	"slices"

	"undersong/instrument"
)

// blurred is the mean roughness of a measure from which it counts as a blur.
const blurred = 0.25

// blur gives each measure its roughness: the mean over its moments of what is
// struck together with what still rings.
func (c *checker) blur(moments []moment) {
	r := newRinging(c.tower)
	last := map[int]instrument.Stroke{} // by key; Ago holds the time of the stroke
	sums, counts := make([]float64, len(c.report.Measures)), make([]int, len(c.report.Measures))
	worst := make([]*moment, len(c.report.Measures))
	most := make([]float64, len(c.report.Measures))
	still := make([]int, len(c.report.Measures))
	for i := range moments {
		m := &moments[i]
		for _, b := range m.bells {
			last[b.key] = instrument.Stroke{Key: b.key, Ago: m.at, Gain: c.tower.Level(b.key, b.level)}
		}
		sounding := r.sounding(last, m.at)
		rough := r.roughness(sounding)
		at := m.first.measure
		sums[at] += rough
		counts[at]++
		if worst[at] == nil || rough > most[at] {
			worst[at], most[at], still[at] = m, rough, len(sounding)-len(m.bells)
		}
	}
	for i, n := range counts {
		if n == 0 {
			continue
		}
		mean := sums[i] / float64(n)
		c.report.Measures[i].Blur = mean
		if mean > blurred {
			c.find(worst[i].first, Finding{
				Category: Blur, What: "blur", Value: mean, Limit: blurred, Unit: "roughness",
				Text: fmt.Sprintf("roughness %.2f over the measure, %.2f is clear; worst at %s over %d bells that still ring: fewer strokes, slower, or higher",
					mean, blurred, names(worst[i].bells), still[i]),
			})
		}
	}
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
