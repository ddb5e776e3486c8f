package study

import (
	"fmt"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/form"
)

// Verdict is whether a section would go inverted on a tower, and why.
type Verdict struct {
	Inverted string   `json:"inverted"` // "yes", "with care", "leave plain"; "" without melody
	Reasons  []Reason `json:"reasons"`
	// Tenor tells whether the left hand could play the melody on the manual,
	// under the accompaniment, instead.
	Tenor bool `json:"tenor"`
}

// Reason is one thing that was weighed.
type Reason struct {
	What    string  `json:"what"` // speed, ring, room, harmony, small bells
	Value   float64 `json:"value"`
	Limit   float64 `json:"limit"`             // within it nothing speaks against inversion
	Speaks  string  `json:"speaks"`            // "for", "care", "against"
	Measure string  `json:"measure,omitempty"` // the worst place, or the first
	Text    string  `json:"text"`
}

// The limits, within which nothing speaks against inversion, and beyond which
// something does. That fast melodies blur low down, that rapid changes of
// harmony blur, and that towers with weak small bells gain most is common
// practice (no source; on harmony: Rensselaer, "Suggestions for Composing for
// Carillon"); the figures are the project's own.
const (
	ringsWell, ringsBadly   = 8, 14     // notes of the melody within 20 dB at once
	lateWell, lateBadly     = 0.0, 0.05 // share of strokes sooner than the feet can
	fitsWell, fitsBadly     = 1.0, 0.6  // share of phrases that the pedals hold whole
	chordsWell, chordsBadly = 3, 6      // chord changes while a bell of the accompaniment rings
	roomWell, roomBadly     = 19, 12    // semitones above the melody
	gainWell                = 3.0       // dB that the melody gains
)

// accompanimentKey is a key in the middle of where the accompaniment lies above
// a melody in the pedals: G5.
const accompanimentKey = 79

func (m *meter) verdict(sec form.Section, t Texture) Verdict {
	tune := m.melodyOf(sec)
	v := Verdict{Reasons: []Reason{}}
	if len(tune) == 0 {
		return v
	}
	low := m.place(tune, m.tower.Pedals)
	hand := m.place(tune, m.tower.Manual)
	v.Tenor = m.late(tune, hand, m.tower.HandTime, 1).share() <= lateBadly
	v.Reasons = []Reason{
		m.speed(tune, low), m.ring(tune, low), m.fits(sec), m.roomAbove(tune, low), m.harmonyReason(t), m.gain(tune, low),
	}
	v.Inverted = "yes"
	for _, r := range v.Reasons {
		switch {
		case r.Speaks == "against":
			v.Inverted = "leave plain"
		case r.Speaks == "care" && v.Inverted == "yes":
			v.Inverted = "with care"
		}
	}
	return v
}

// place are the keys of a tune an octave down, or where else most of it fits;
// those that have no key stay as far from it as they are.
func (m *meter) place(tune []*score.Tone, keys instrument.Compass) []int {
	best, most := -1, -1
	for _, octaves := range []int{-1, 0, -2, 1, -3} {
		n := 0
		for _, t := range tune {
			if keys.Has(t.Pitch.MIDI() + 12*octaves) {
				n++
			}
		}
		if n > most {
			best, most = octaves, n
		}
	}
	placed := make([]int, len(tune))
	for i, t := range tune {
		placed[i] = t.Pitch.MIDI() + 12*best
	}
	return placed
}

// late are the strokes that come sooner than a limb can, of which so many take
// turns, or than the bell allows.
type late struct {
	count, of int
	worst     *score.Tone // where the time is shortest
	seconds   float64     // that there is there
}

func (l late) share() float64 { return float64(l.count) / float64(max(l.of, 1)) }

func (m *meter) late(tune []*score.Tone, keys []int, limb func(from, to int) float64, turns int) late {
	l := late{of: len(tune) - 1}
	for i := 1; i < len(tune); i++ {
		apart := m.Clock.Seconds(tune[i].Onset) - m.Clock.Seconds(tune[i-1].Onset)
		tooSoon := apart < m.repeat(keys[i-1], keys[i])
		if i >= turns {
			tooSoon = tooSoon || m.Clock.Seconds(tune[i].Onset)-m.Clock.Seconds(tune[i-turns].Onset) < limb(keys[i-turns], keys[i])
		}
		if tooSoon {
			if l.count++; l.worst == nil || apart < l.seconds {
				l.worst, l.seconds = tune[i], apart
			}
		}
	}
	return l
}

// repeat is the least time between strokes of two keys that are one bell.
func (m *meter) repeat(from, to int) float64 {
	if from != to {
		return 0
	}
	return m.tower.RepeatTime(to)
}

func (m *meter) speed(tune []*score.Tone, keys []int) Reason {
	l := m.late(tune, keys, m.tower.FootTime, 2)
	r := Reason{What: "speed", Value: l.share(), Limit: lateWell}
	if l.count == 0 {
		r.Speaks = "for"
		r.Text = "the feet have time for every note"
		return r
	}
	r.Speaks = grade(l.share(), lateWell, lateBadly)
	r.Measure = m.measure(l.worst)
	r.Text = fmt.Sprintf("%d of %d notes come sooner than the feet can, one after %.2f s", l.count, len(tune), l.seconds)
	return r
}

// ring counts, at the worst moment, the notes of the melody that ring at once.
func (m *meter) ring(tune []*score.Tone, keys []int) Reason {
	most, sum := 0, 0
	worst := tune[0]
	for i, t := range tune {
		n := 1
		at := m.Clock.Seconds(t.Onset)
		for k := i - 1; k >= 0 && i-k < 64; k-- {
			if at-m.Clock.Seconds(tune[k].Onset) < m.rings[clamp(keys[k])] && keys[k] != keys[i] {
				n++
			}
		}
		if sum += n; n > most {
			most, worst = n, t
		}
	}
	mean := float64(sum) / float64(len(tune))
	r := Reason{What: "ring", Value: mean, Limit: ringsWell, Speaks: grade(mean, ringsWell, ringsBadly), Measure: m.measure(worst)}
	r.Text = fmt.Sprintf("%.1f notes of it ring at once within 20 dB, at most %d", mean, most)
	return r
}

func clamp(key int) int { return max(0, min(key, 127)) }

// fits counts the phrases that the pedals hold whole in some octave.
func (m *meter) fits(sec form.Section) Reason {
	whole, all := 0, 0
	first := ""
	for _, p := range m.Melody.Phrases {
		tune := m.Melody.Tones[p.First:p.Last]
		if at := m.Tones[tune[0]].Onset; at.Less(sec.From) || !at.Less(sec.To) {
			continue
		}
		all++
		if m.held(tune) {
			whole++
		} else if first == "" {
			first = m.measure(&m.Tones[tune[0]])
		}
	}
	r := Reason{What: "room", Value: float64(whole) / float64(max(all, 1)), Limit: fitsWell, Speaks: "for", Measure: first}
	if all == 0 {
		r.Value = 1
	}
	r.Text = fmt.Sprintf("the pedals hold %d of %d phrases in one octave", whole, all)
	if r.Value < fitsBadly {
		r.Speaks = "against"
	} else if r.Value < fitsWell {
		r.Speaks = "care"
	}
	return r
}

func (m *meter) held(tune []int) bool {
	for octaves := -4; octaves <= 4; octaves++ {
		all := true
		for _, i := range tune {
			all = all && m.tower.Pedals.Has(m.Tones[i].Pitch.MIDI()+12*octaves)
		}
		if all {
			return true
		}
	}
	return false
}

// roomAbove is what the hands have over the melody.
func (m *meter) roomAbove(tune []*score.Tone, keys []int) Reason {
	worst := 0
	for i := range keys {
		if keys[i] > keys[worst] {
			worst = i
		}
	}
	room := float64(m.tower.Manual.High() - max(keys[worst], 60))
	r := Reason{What: "room", Value: room, Limit: roomWell, Speaks: "for", Measure: m.measure(tune[worst])}
	r.Text = fmt.Sprintf("%.0f semitones are left above its highest note and middle C", room)
	if room < roomBadly {
		r.Speaks = "against"
	} else if room < roomWell {
		r.Speaks = "care"
	}
	return r
}

func (m *meter) harmonyReason(t Texture) Reason {
	per := t.Chords * m.rings[min(accompanimentKey, m.tower.Manual.High())]
	r := Reason{What: "harmony", Value: per, Limit: chordsWell, Speaks: grade(per, chordsWell, chordsBadly)}
	r.Text = fmt.Sprintf("%.1f chord changes while a bell of the accompaniment rings within 20 dB", per)
	return r
}

// gain is how much louder the melody is low down than on top, in dB.
func (m *meter) gain(tune []*score.Tone, keys []int) Reason {
	sum := 0.0
	for i, t := range tune {
		sum += m.tower.Level(clamp(keys[i]), 0) - m.tower.Level(t.Pitch.MIDI(), 0)
	}
	gain := sum / float64(len(tune))
	r := Reason{What: "small bells", Value: gain, Limit: gainWell, Speaks: "for"}
	r.Text = fmt.Sprintf("the melody gains %.0f dB of strength on its lower bells", gain)
	if gain < gainWell {
		r.Speaks = "care"
		r.Text = fmt.Sprintf("the melody gains only %.0f dB of strength, as it lies little lower in the pedals", gain)
	}
	return r
}

func grade(value, well, badly float64) string {
	switch {
	case value <= well:
		return "for"
	case value <= badly:
		return "care"
	}
	return "against"
}

func (m *meter) measure(t *score.Tone) string { return m.places.number(t.Pieces[0].Measure) }
