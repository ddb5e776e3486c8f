package study

import (
	"fmt"
	"math"

	"undersong/score"
	"undersong/voicing/form"
)

// Verdict is whether a section would go inverted on a tower, and why.
type Verdict struct {
	Inverted string `json:"inverted"` // "yes", "with care", "leave plain"; "" without melody
	// Pedals is those that it would be played on, from the lowest to the
	// highest: "D3–E4"; "" where all of it is for the left hand.
	Pedals  string   `json:"pedals,omitempty"`
	Reasons []Reason `json:"reasons"`
	// Tenor tells whether the left hand could play the melody on the manual,
	// under the accompaniment, instead; TenorText why.
	Tenor     bool   `json:"tenor"`
	TenorText string `json:"tenorText,omitempty"`
}

// The verdicts.
const (
	Yes        = "yes"
	WithCare   = "with care"
	LeavePlain = "leave plain"
)

// Reason is one thing that was weighed.
type Reason struct {
	// What is pedals, feet, ring, clash, harmony, room, hands or strength.
	What   string  `json:"what"`
	Value  float64 `json:"value"`
	Limit  float64 `json:"limit"`            // within it nothing speaks against inversion
	Utmost float64 `json:"utmost,omitempty"` // beyond it something does; 0: there is none
	Speaks string  `json:"speaks"`           // "for", "care", "against"
	// Measure and Beat are the worst place.
	Measure string `json:"measure,omitempty"`
	Beat    string `json:"beat,omitempty"`
	Text    string `json:"text"`
}

// What a reason says about inversion.
const (
	For     = "for"
	Care    = "care"
	Against = "against"
)

func (m *meter) verdict(sec form.Section) Verdict {
	v := Verdict{Reasons: []Reason{}}
	l := m.layLow(sec)
	if len(l.tune) == 0 {
		return v
	}
	ring, clash := m.ring(l), m.clash(l)
	if ring.Speaks == Care && clash.Value <= calm {
		ring.Speaks = For
		ring.Text += ", but they agree"
	}
	strikes := m.strikes(sec)
	v.Reasons = []Reason{m.pedals(l), m.feet(l), ring, clash, m.chords(sec, strikes, l), m.room(l), m.hands(sec, strikes), m.strength(l)}
	v.Inverted, v.Pedals = Yes, l.span()
	for _, r := range v.Reasons {
		switch {
		case r.Speaks == Against:
			v.Inverted = LeavePlain
		case r.Speaks == Care && v.Inverted == Yes:
			v.Inverted = WithCare
		}
	}
	v.Tenor, v.TenorText = m.tenor(m.layOnManual(sec))
	return v
}

// reason is graded: the more the value is, the worse, or the other way where
// utmost is less than limit; an infinite one is none.
func reason(what string, value, limit, utmost float64) Reason {
	r := Reason{What: what, Value: rounded(value), Limit: limit, Speaks: For}
	if !math.IsInf(utmost, 0) {
		r.Utmost = utmost
	}
	if utmost < limit {
		value, limit, utmost = -value, -limit, -utmost
	}
	switch {
	case value > utmost:
		r.Speaks = Against
	case value > limit:
		r.Speaks = Care
	}
	return r
}

// at places a reason at a moment.
func (r Reason) at(m *meter, t score.Time) Reason {
	r.Measure, r.Beat = m.places.name(t)
	return r
}

func (r Reason) say(format string, args ...any) Reason {
	r.Text = fmt.Sprintf(format, args...)
	return r
}
