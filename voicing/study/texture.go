package study

import (
	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/form"
	"undersong/voicing/harmony"
)

// Texture is how a section is made, in figures. Rates are in a second of
// playing it, at the tempo given or assumed.
type Texture struct {
	Seconds float64 `json:"seconds"`
	Melody  struct {
		Notes     int     `json:"notes"`
		PerSecond float64 `json:"perSecond"`        // while it plays
		Fastest   float64 `json:"fastestPerSecond"` // in its fastest second
		Lowest    int     `json:"lowest"`           // MIDI number, sounding as written; 0 of none
		Highest   int     `json:"highest"`
		Range     string  `json:"range,omitempty"` // the same by name, "D4–E5"
		Leaps     int     `json:"leaps"`           // larger than a fourth
	} `json:"melody"`
	Accompaniment struct {
		PerSecond float64 `json:"strikesPerSecond"`
		Notes     float64 `json:"notesPerStrike"`
	} `json:"accompaniment"`
	Bass struct {
		PerSecond float64 `json:"perSecond"` // changes of the lowest note
		Leaps     float64 `json:"leaps"`     // share of these larger than a fourth
	} `json:"bass"`
	Chords float64 `json:"chordChangesPerSecond"`
}

// leap is the largest interval that is none, in semitones: a perfect fourth.
const leap = 5

// meter measures sections.
type meter struct {
	*Analysis
	tower  *instrument.Tower
	tune   []bool // by tone
	places *places
	rings  [128]float64 // until the note of a key is 20 dB weaker, in seconds
}

func newMeter(a *Analysis, tower *instrument.Tower) *meter {
	m := &meter{Analysis: a, tower: tower, tune: make([]bool, len(a.Tones)), places: newPlaces(a.Score)}
	for _, i := range a.Melody.Tones {
		m.tune[i] = true
	}
	for key := range tower.Manual.Keys() {
		m.rings[key] = tower.Bell(key).Ring.Middle() / 3 // of the time to 60 dB
	}
	return m
}

// strike is what is struck at one moment besides the melody.
type strike struct {
	at     float64
	notes  int
	lowest int // pitch
}

func (m *meter) texture(sec form.Section) Texture {
	var t Texture
	t.Seconds = m.Clock.Seconds(sec.To) - m.Clock.Seconds(sec.From)
	m.tuneTexture(&t, m.melodyOf(sec))
	strikes := m.strikes(sec)
	notes, changes, leaps := 0, 0, 0
	for i, s := range strikes {
		notes += s.notes
		if i > 0 && s.lowest != strikes[i-1].lowest {
			changes++
			if d := s.lowest - strikes[i-1].lowest; d > leap || d < -leap {
				leaps++
			}
		}
	}
	t.Accompaniment.PerSecond = float64(len(strikes)) / t.Seconds
	t.Accompaniment.Notes = float64(notes) / float64(max(len(strikes), 1))
	t.Bass.PerSecond = float64(changes) / t.Seconds
	t.Bass.Leaps = float64(leaps) / float64(max(changes, 1))
	t.Chords = float64(m.changes(sec)) / t.Seconds
	return t
}

// tuneTexture measures the melody's notes.
func (m *meter) tuneTexture(t *Texture, tune []*score.Tone) {
	t.Melody.Notes = len(tune)
	playing := 0.0
	var low, high score.Pitch
	for i, n := range tune {
		pitch, at := n.Pitch.MIDI(), m.Clock.Seconds(n.Onset)
		if i == 0 || pitch < t.Melody.Lowest {
			t.Melody.Lowest, low = pitch, n.Pitch
		}
		if pitch > t.Melody.Highest {
			t.Melody.Highest, high = pitch, n.Pitch
		}
		t.Melody.Range = low.String() + "–" + high.String()
		playing += m.Clock.Seconds(n.End()) - at
		within := 0
		for k := i; k >= 0 && at-m.Clock.Seconds(tune[k].Onset) < 1-1e-9; k-- {
			within++
		}
		t.Melody.Fastest = max(t.Melody.Fastest, float64(within))
		if i > 0 {
			if d := pitch - tune[i-1].Pitch.MIDI(); d > leap || d < -leap {
				t.Melody.Leaps++
			}
		}
	}
	if playing > 0 {
		t.Melody.PerSecond = float64(len(tune)) / playing
	}
}

// melodyOf are the melody's notes struck in a section.
func (m *meter) melodyOf(sec form.Section) []*score.Tone {
	var tune []*score.Tone
	for _, i := range m.Melody.Tones {
		if t := &m.Tones[i]; !t.Onset.Less(sec.From) && t.Onset.Less(sec.To) {
			tune = append(tune, t)
		}
	}
	return tune
}

func (m *meter) strikes(sec form.Section) []strike {
	var all []strike
	for i := range m.Tones {
		t := &m.Tones[i]
		if m.tune[i] || !t.First().Plays() || t.First().Grace || t.Onset.Less(sec.From) || !t.Onset.Less(sec.To) {
			continue
		}
		at, last := m.Clock.Seconds(t.Onset), len(all)-1
		if last < 0 || all[last].at != at {
			all = append(all, strike{at, 0, t.Pitch.MIDI()})
			last++
		}
		all[last].notes++
		all[last].lowest = min(all[last].lowest, t.Pitch.MIDI())
	}
	return all
}

// changes counts how often the chord's root or kind changes inside a section.
func (m *meter) changes(sec form.Section) int {
	var before *harmony.Span
	n := 0
	for i := range m.Harmony {
		h := &m.Harmony[i]
		if !sec.From.Less(h.To) || !h.From.Less(sec.To) {
			continue
		}
		if before != nil && (before.Chord.Root != h.Chord.Root || before.Chord.Kind != h.Chord.Kind) {
			n++
		}
		before = h
	}
	return n
}
