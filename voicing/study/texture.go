package study

import (
	"slices"
	"sync"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/harmony"
	"undersong/voicing/melody"
	"undersong/voicing/playing"
)

// Texture is how a section is made, in figures. Rates are in a second of
// playing it once, at the tempo given or assumed.
type Texture struct {
	Seconds       float64       `json:"seconds"`
	Tempo         float64       `json:"quartersPerMinute"` // on the mean
	Melody        Tune          `json:"melody"`
	Accompaniment Accompaniment `json:"accompaniment"`
	Bass          Bass          `json:"bass"`
	Chords        float64       `json:"chordChangesPerSecond"`
}

// Tune is the texture of the melody.
type Tune struct {
	Notes     int     `json:"notes"`
	PerSecond float64 `json:"perSecond"`        // in its phrases, from the first stroke to the last note's end
	Fastest   float64 `json:"fastestPerSecond"` // most in a beat's time, never less than PerSecond
	FastestAt string  `json:"fastestMeasure,omitempty"`
	Lowest    int     `json:"lowest"`  // MIDI number, as it sounds on a piano; 0 of none
	Highest   int     `json:"highest"` // the same
	Range     string  `json:"range,omitempty"`
	Keys      int     `json:"keys"`  // different ones
	Leaps     int     `json:"leaps"` // larger than a fourth, in either direction
}

// Accompaniment is the texture of all that is no melody, its bass included.
type Accompaniment struct {
	PerSecond float64 `json:"strikesPerSecond"`
	Notes     float64 `json:"notesPerStrike"`
}

// Bass is the texture of the lowest notes of the accompaniment, beat by beat.
type Bass struct {
	PerBeat float64 `json:"movesPerBeat"` // changes of pitch
	Steps   int     `json:"steps"`        // of a tone at most
	Leaps   int     `json:"leaps"`        // larger than a fourth
}

// The largest step and the largest interval that is no leap, in semitones: a
// tone, a perfect fourth.
const (
	step = 2
	leap = 5
)

// meter measures sections.
type meter struct {
	*Analysis
	tower   *instrument.Tower
	player  func() *playing.Player // made where it is needed first
	tune    []bool                 // by tone
	places  *places
	longest float64            // ring of the bells that are there
	placed  *voicing.Placement // of the melody when all is voiced inverted
	// What only verdicts change, which are found beside all else.
	bells [128]bell
	// What was worked out of pairs of bells: how rough they are, and how much
	// rougher than one.
	together, pairs map[[2]int]float64
}

func newMeter(a *Analysis, tower *instrument.Tower) *meter {
	m := &meter{
		Analysis: a, tower: tower, player: sync.OnceValue(func() *playing.Player { return playing.For(tower) }), tune: make([]bool, len(a.Tones)), places: newPlaces(a.Score),
		together: map[[2]int]float64{}, pairs: map[[2]int]float64{},
		placed: voicing.Place(a.Score, a.Tones, a.Line, tower, voicing.Inverted, 0),
	}
	if m.placed.Tempo > 0 {
		slower := *a
		slower.Clock = score.Steady(m.placed.Tempo)
		m.Analysis = &slower
	}
	for _, i := range a.Melody.Tones {
		m.tune[i] = true
	}
	for b := range tower.Bells() {
		m.longest = max(m.longest, b.Heard(audible))
	}
	return m
}

// bell is what has been worked out of the bell of a key.
type bell struct {
	known bool
	ring  float64 // until its note is audible dB weaker, in seconds
	level float64 // of a stroke on it, in dB
}

func (m *meter) bell(key int) *bell {
	key = clamp(key)
	b := &m.bells[key]
	if !b.known {
		*b = bell{true, m.tower.Bell(key).Heard(audible), m.tower.Level(key, 0)}
	}
	return b
}

func (m *meter) texture(sec form.Section) Texture {
	t := Texture{Seconds: m.Clock.Seconds(sec.To) - m.Clock.Seconds(sec.From), Melody: m.tuneTexture(sec)}
	if t.Seconds > 0 {
		t.Tempo = 60 * sec.To.Sub(sec.From).Quarters() / t.Seconds
	}
	strikes := m.strikes(sec)
	notes := 0
	for _, s := range strikes {
		notes += s.notes
	}
	t.Accompaniment = Accompaniment{rate(len(strikes), t.Seconds), float64(notes) / float64(max(len(strikes), 1))}
	t.Bass = m.bass(strikes)
	t.Chords = rate(len(m.changes(sec, strikes)), t.Seconds)
	return t
}

// rounded is t with its figures to three places.
func (t Texture) rounded() Texture {
	for _, x := range []*float64{
		&t.Seconds, &t.Tempo, &t.Melody.PerSecond, &t.Melody.Fastest, &t.Accompaniment.PerSecond, &t.Accompaniment.Notes, &t.Bass.PerBeat, &t.Chords,
	} {
		*x = rounded(*x)
	}
	return t
}

func rate(n int, seconds float64) float64 {
	if seconds <= 0 {
		return 0
	}
	return float64(n) / seconds
}

// tuneTexture measures the melody's notes.
func (m *meter) tuneTexture(sec form.Section) Tune {
	tune, phrases := m.melodyOf(sec)
	t := Tune{Notes: len(tune)}
	if len(tune) == 0 {
		return t
	}
	low, high := tune[0].Pitch, tune[0].Pitch
	keys := map[int]bool{}
	for i, n := range tune {
		if n.Pitch.MIDI() < low.MIDI() {
			low = n.Pitch
		}
		if n.Pitch.MIDI() > high.MIDI() {
			high = n.Pitch
		}
		keys[n.Pitch.MIDI()] = true
		if i > 0 && abs(n.Pitch.MIDI()-tune[i-1].Pitch.MIDI()) > leap {
			t.Leaps++
		}
	}
	t.Lowest, t.Highest, t.Range, t.Keys = low.MIDI(), high.MIDI(), low.String(), len(keys)
	if low != high {
		t.Range += "–" + high.String()
	}
	playing := 0.0
	for _, p := range phrases {
		phrase := tune[:p.Last-p.First]
		tune = tune[len(phrase):]
		playing += m.fastest(&t, phrase)
	}
	t.PerSecond = rate(t.Notes, playing)
	return t
}

// fastest finds the beat of a phrase with most strokes, wherever it begins, and tells
// how long the phrase takes. Strokes that are farther apart count as many as there are in the
// time until the next one, and a phrase that is shorter than a beat as it is. So the whole of each
// phrase is among what is compared, and the most cannot be less than the mean.
func (m *meter) fastest(t *Tune, phrase []*score.Tone) (seconds float64) {
	at := make([]float64, 0, len(phrase)+1)
	for _, n := range phrase {
		at = append(at, m.Clock.Seconds(n.Onset))
	}
	at = append(at, m.Clock.Seconds(phrase[len(phrase)-1].End()))
	seconds = at[len(phrase)] - at[0]
	for i, n := range phrase {
		from, to := m.places.beatAt(n.Onset)
		end := n.Onset.Add(to.Sub(from))
		beat := min(seconds, m.Clock.Seconds(end)-at[i])
		for k := i + 1; k <= len(phrase); k++ {
			took := max(beat, at[k]-at[i])
			if k > i+1 && phrase[k-1].Onset.Less(end) {
				took = beat
			}
			if r := rate(k-i, took); r > t.Fastest {
				t.Fastest, t.FastestAt = r, m.measure(n)
			}
		}
	}
	return seconds
}

// melodyOf are the melody's notes struck in a section, and its phrases.
func (m *meter) melodyOf(sec form.Section) (tune []*score.Tone, phrases []melody.Phrase) {
	begins := func(p melody.Phrase, at score.Time) int { return m.Tones[m.Melody.Tones[p.First]].Onset.Cmp(at) }
	first, _ := slices.BinarySearchFunc(m.Melody.Phrases, sec.From, begins)
	end, _ := slices.BinarySearchFunc(m.Melody.Phrases, sec.To, begins)
	phrases = m.Melody.Phrases[first:max(first, end)]
	if len(phrases) == 0 {
		return nil, nil
	}
	tones := m.Melody.Tones[phrases[0].First:phrases[len(phrases)-1].Last]
	tune = make([]*score.Tone, 0, len(tones))
	for _, i := range tones {
		tune = append(tune, &m.Tones[i])
	}
	return tune, phrases
}

// strike is what is struck at one moment besides the melody.
type strike struct {
	at     score.Time
	notes  int
	lowest int // pitch
}

func (m *meter) strikes(sec form.Section) []strike {
	var all []strike
	first, _ := slices.BinarySearchFunc(m.Tones, sec.From, func(t score.Tone, at score.Time) int { return t.Onset.Cmp(at) })
	for i := first; i < len(m.Tones) && m.Tones[i].Onset.Less(sec.To); i++ {
		t := &m.Tones[i]
		if n := t.First(); m.tune[i] || !n.Plays() || n.Grace {
			continue
		}
		last := len(all) - 1
		if last < 0 || all[last].at != t.Onset {
			all = append(all, strike{t.Onset, 0, t.Pitch.MIDI()})
			last++
		}
		all[last].notes++
		all[last].lowest = min(all[last].lowest, t.Pitch.MIDI())
	}
	return all
}

// bass follows the lowest note of each beat.
func (m *meter) bass(strikes []strike) Bass {
	var b Bass
	moves, beats := 0, 0
	before := -1
	for i := 0; i < len(strikes); {
		_, to := m.places.beatAt(strikes[i].at)
		lowest := strikes[i].lowest
		for ; i < len(strikes) && strikes[i].at.Less(to); i++ {
			lowest = min(lowest, strikes[i].lowest)
		}
		if d := abs(lowest - before); before >= 0 && d > 0 {
			moves++
			if d <= step {
				b.Steps++
			} else if d > leap {
				b.Leaps++
			}
		}
		before = lowest
		beats++
	}
	b.PerBeat = float64(moves) / float64(max(beats-1, 1))
	return b
}

// changes are the moments, in seconds, at which the chord's root or kind
// changes inside a section. Where nothing is struck besides the melody, only chord
// symbols count: a tune alone suggests chords, but strikes none.
func (m *meter) changes(sec form.Section, strikes []strike) []float64 {
	var before *harmony.Span
	var all []float64
	first, _ := slices.BinarySearchFunc(m.Harmony, sec.From, func(h harmony.Span, at score.Time) int { return h.To.Cmp(at) })
	for i := first; i < len(m.Harmony) && m.Harmony[i].From.Less(sec.To); i++ {
		h := &m.Harmony[i]
		if !sec.From.Less(h.To) || h.Chord.Kind == "none" || !h.Given && len(strikes) == 0 {
			continue
		}
		if before != nil && (before.Chord.Root != h.Chord.Root || before.Chord.Kind != h.Chord.Kind) {
			all = append(all, m.Clock.Seconds(h.From))
		}
		before = h
	}
	return all
}

func abs(n int) int { return max(n, -n) }
