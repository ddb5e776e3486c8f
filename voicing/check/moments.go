package check

import (
	"fmt"
	"slices"
	"strings"

	"undersong/instrument"
	"undersong/voicing/ringing"
)

// bell is one bell that is struck at a moment: hand and foot on one key are
// one stroke (TowerBells.org, "Keyboard Ranges").
type bell struct {
	key    int
	name   string // as written
	level  instrument.Dynamic
	melody bool
	pedal  bool
}

// moment is what is struck at one time.
type moment struct {
	first *struck
	at    float64
	bells []bell // the lowest first
}

// moments are the times at which something with a key is struck.
func (c *checker) moments(all []struck) []moment {
	var moments []moment
	for i := range all {
		s := &all[i]
		if s.missing {
			continue
		}
		if last := len(moments) - 1; last < 0 || moments[last].at != s.at {
			moments = append(moments, moment{first: s, at: s.at})
		}
		moments[len(moments)-1].add(s)
	}
	return moments
}

func (m *moment) add(s *struck) {
	for i := range m.bells {
		if b := &m.bells[i]; b.key == s.key {
			b.level = max(b.level, s.level)
			b.melody, b.pedal = b.melody || s.melody, b.pedal || s.pedal
			return
		}
	}
	m.bells = append(m.bells, bell{s.key, s.pitch().String(), s.level, s.melody, s.pedal})
}

// names are the keys of bells.
func names(bells []bell) string {
	var all []string
	for _, b := range bells {
		all = append(all, b.name)
	}
	return strings.Join(all, " ")
}

// thirds finds major thirds struck together on low bells.
func (c *checker) thirds(moments []moment) {
	for _, m := range moments {
		for i, low := range m.bells {
			for _, high := range m.bells[i+1:] {
				if instrument.RoughThird(low.key, high.key) {
					c.find(m.first, Finding{
						Category: LowThirds, What: "low major third", Value: float64(low.key), Limit: instrument.LowestThird, Unit: "MIDI",
						Text: fmt.Sprintf("%s %s: a major third from below C4 sounds rough: leave one out, or move the upper one",
							low.name, high.name),
					})
				}
			}
		}
	}
}

// ringingThirds finds what is struck a major third over a low bell that the feet
// struck before and that is still loud: nothing damps it. They are told once a
// stroke of the feet, and no longer than until their next one.
func (c *checker) ringingThirds(moments []moment) {
	type foot struct {
		bell
		until float64 // it is loud, and not told of
	}
	var held []foot
	for i := range moments {
		m := &moments[i]
		if slices.ContainsFunc(m.bells, func(b bell) bool { return b.pedal }) {
			held = nil
		}
		for k := range held {
			for _, high := range m.bells {
				if low := &held[k]; m.at < low.until && high.key > low.key && !high.pedal && instrument.RoughThird(low.key, high.key) {
					low.until = 0
					c.find(m.first, Finding{
						Category: RingingThirds, What: "low major third rings", Value: float64(low.key), Limit: instrument.LowestThird, Unit: "MIDI",
						Text: fmt.Sprintf("%s is struck while %s rings under it: a major third from below C4 sounds rough, held too: leave one out, or move the upper one",
							high.name, low.name),
					})
				}
			}
		}
		for _, b := range m.bells {
			if b.pedal {
				held = append(held, foot{b, m.at + ringing.Loud(c.tower, b.key)})
			}
		}
	}
}

// What is too dense. The published part: complex chords have three or four
// notes ("Arranging for Carillon", lesson "Harmony"), thick ones are for
// emphasis only (Rensselaer); a busy pedal part on heavy bells is to be
// avoided except for a short effect (Flemish Carillon Association, composing
// guide). How often and how fast that is, are the project's own figures.
const (
	thick      = 5   // notes at once that are more than a chord needs
	emphases   = 1   // thick chords in a measure that are emphasis
	busyPedals = 2.0 // strokes a second on heavy bells
	busyFor    = 4.0 // seconds of it that are more than a short effect
	heavy      = 60  // the key below which the foot moves a clapper better than the hand (Gouwens, App. B)
)

// dense counts strokes by measure and finds thick chords and busy pedals.
func (c *checker) dense(moments []moment) {
	thickest := make([]*moment, len(c.report.Measures))
	thickChords := make([]int, len(c.report.Measures))
	for i := range moments {
		m, n, at := &moments[i], len(moments[i].bells), moments[i].first.measure
		figures := &c.report.Measures[at]
		figures.Strokes += n
		figures.Together = max(figures.Together, n)
		c.report.Strokes += n
		if n < thick {
			continue
		}
		thickChords[at]++
		if thickest[at] == nil || len(thickest[at].bells) < n {
			thickest[at] = m
		}
	}
	for i := range c.report.Measures {
		figures := &c.report.Measures[i]
		if seconds := c.seconds(i); seconds > 0 {
			figures.Density = float64(figures.Strokes) / seconds
		}
		if n := thickChords[i]; n > emphases {
			c.find(thickest[i].first, Finding{
				Category: TooDense, What: "thick chords", Value: float64(n), Limit: emphases, Unit: "chords",
				Text: fmt.Sprintf("%d chords of %d notes or more, such as %s: keep them for emphasis, thin to three or four notes",
					n, thick, names(thickest[i].bells)),
			})
		}
	}
	c.busy(moments)
}

// seconds is how long a measure lasts.
func (c *checker) seconds(i int) float64 {
	return c.clock.Seconds(c.starts[i+1]) - c.clock.Seconds(c.starts[i])
}

// busy finds the stretches in which heavy bells are struck by the feet faster
// than busyPedals for longer than busyFor.
func (c *checker) busy(moments []moment) {
	var feet []*moment
	for i := range moments {
		m := &moments[i]
		if slices.ContainsFunc(m.bells, func(b bell) bool { return b.pedal && b.key < heavy }) {
			feet = append(feet, m)
		}
	}
	for from := 0; from < len(feet); {
		to := from
		for to+1 < len(feet) && feet[to+1].at-feet[to].at < 1/busyPedals-0.001 {
			to++
		}
		if lasts := feet[to].at - feet[from].at; lasts > busyFor {
			rate := float64(to-from) / lasts
			c.find(feet[from].first, Finding{
				Category: TooDense, What: "busy pedals", Value: rate, Limit: busyPedals, Unit: "a second",
				Text: fmt.Sprintf("the pedals strike heavy bells %.1f times a second for %.0f s, until measure %s: fewer strokes, or higher",
					rate, lasts, c.score.MeasureNumber(feet[to].first.measure)),
			})
		}
		from = to + 1
	}
}
