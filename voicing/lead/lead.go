// Package lead makes an accompaniment of the chord symbols of a lead sheet, as
// a second part beside its line, so that it can be arranged like a piano score.
//
// It knows a few plain figures of the trade and leads the chords smoothly; it
// adds no passing notes and harmonises nothing that has no symbol.
package lead

import (
	"fmt"
	"slices"

	"undersong/score"
	"undersong/voicing/harmony"
)

// Figure is how the chords are played.
type Figure string

// The figures.
const (
	Struck     Figure = "struck"      // bass and chord together on the strong beats
	AfterBeat  Figure = "after-beat"  // the bass on the strong beats, the chord on the others
	BrokenUp   Figure = "broken-up"   // one note after the other, upwards
	BrokenDown Figure = "broken-down" // the bass, then downwards
	Rocking    Figure = "rocking"     // the bass, then to and fro
	Held       Figure = "held"        // bass and chord once, as long as the chord lasts
)

// Figures lists all.
func Figures() []Figure { return []Figure{Struck, AfterBeat, BrokenUp, BrokenDown, Rocking, Held} }

// doublings is how many notes of a lead sheet may stand beside its line, as in
// a last chord: one in so many of the line's.
const doublings = 12

// Sheet tells whether a score is a lead sheet: chord symbols over one line,
// give or take a doubled note.
func Sheet(s *score.Score, tones []score.Tone, melody []int) bool {
	played := 0
	for i := range tones {
		if tones[i].First().Plays() && !tones[i].First().Grace {
			played++
		}
	}
	if played > len(melody)+len(melody)/doublings {
		return false
	}
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			if len(m.Chords) > 0 {
				return true
			}
		}
	}
	return false
}

// Choose is the figure that suits a metre and a tempo in beats a minute: common
// practice in its outlines, no source; the figures are the project's own.
func Choose(beats []score.Time, perMinute float64) Figure {
	compound := len(beats) > 0 && beats[0] == score.Frac(3, 2)
	switch {
	case len(beats) == 0:
		return Held
	case perMinute >= 150:
		return Struck
	case compound && perMinute < 80:
		return Rocking
	case perMinute < 76:
		return BrokenUp
	}
	return AfterBeat
}

// Realise is s with one part more that plays its chords, where symbols give
// them, in a figure, spelled in a key. s is not changed, and its measures are
// shared.
func Realise(s *score.Score, chords []harmony.Span, figure Figure, key harmony.Key) (*score.Score, error) {
	if !slices.Contains(Figures(), figure) {
		return nil, fmt.Errorf("no figure %q: there are %v", figure, Figures())
	}
	w := writer{figure: figure, key: key, starts: s.Starts()}
	part := &score.Part{ID: "chords", Name: "Chords", Staves: 1}
	for i, beats := range s.Beats() {
		m := &score.Measure{Number: s.MeasureNumber(i), Length: w.starts[i+1].Sub(w.starts[i])}
		w.measure(m, w.starts[i], beats, chords)
		part.Measures = append(part.Measures, m)
	}
	out := *s
	out.Parts = append(slices.Clone(s.Parts), part)
	return &out, nil
}

// writer writes the chords measure by measure.
type writer struct {
	figure Figure
	key    harmony.Key
	starts []score.Time
	before []int // the chord that was voiced last, without its bass
}

// stretch is a part of a measure with one chord.
type stretch struct {
	from, to score.Time // in the measure
	span     harmony.Span
}

// measure writes what is played in m, stretch by stretch.
func (w *writer) measure(m *score.Measure, at score.Time, beats []score.Time, chords []harmony.Span) {
	for _, h := range chords {
		from, to := score.Max(h.From, at).Sub(at), score.Min(h.To, at.Add(m.Length)).Sub(at)
		if !h.Given || !h.Chord.HasRoot || !from.Less(to) {
			continue
		}
		w.play(m, stretch{from, to, h}, beats, !h.From.Less(at))
	}
}

// play writes one stretch. begins tells whether its chord begins in it.
func (w *writer) play(m *score.Measure, s stretch, beats []score.Time, begins bool) {
	bass, chord := w.voice(s.span)
	points := pulses(s, beats, w.figure)
	if len(points) <= 2 && w.figure != Held && w.figure != Struck { // too short for a figure
		w.strike(m, s.from, s.to, append([]int{bass}, chord...)...)
		return
	}
	switch w.figure {
	case Held, Struck:
		if w.figure == Held && !begins {
			return // the bells ring on
		}
		if w.figure == Held {
			points = points[:1]
		}
		for i, p := range points {
			end := s.to
			if i+1 < len(points) {
				end = points[i+1].at
			}
			w.strike(m, p.at, end, append([]int{bass}, chord...)...)
		}
	case AfterBeat:
		for i, p := range points {
			end := s.to
			if i+1 < len(points) {
				end = points[i+1].at
			}
			if p.strong {
				w.strike(m, p.at, end, bass)
			} else {
				w.strike(m, p.at, end, chord...)
			}
		}
	default:
		order := w.order(bass, chord)
		for i, p := range points {
			end := s.to
			if i+1 < len(points) {
				end = points[i+1].at
			}
			w.strike(m, p.at, end, order[i%len(order)])
		}
	}
}

// order is how a broken figure goes through bass and chord.
func (w *writer) order(bass int, chord []int) []int {
	n := len(chord)
	switch {
	case n == 0:
		return []int{bass}
	case w.figure == BrokenUp:
		return append([]int{bass}, chord...)
	case w.figure == BrokenDown:
		down := slices.Clone(chord)
		slices.Reverse(down)
		return append([]int{bass}, down...)
	}
	return []int{bass, chord[n-1], chord[0], chord[n-1]} // rocking
}

func (w *writer) strike(m *score.Measure, from, to score.Time, pitches ...int) {
	for _, p := range pitches {
		m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: from, Length: to.Sub(from), Pitch: w.spell(p)})
	}
}

// spell is the name of a MIDI number in the key.
func (w *writer) spell(midi int) score.Pitch {
	p := w.key.Spell(midi % 12)
	return p.Octaves((midi - p.MIDI()) / 12)
}

// pulse is a moment at which a figure may strike.
type pulse struct {
	at     score.Time
	strong bool
}

// pulses are the moments of a figure in a stretch: the beats, of which every
// other is strong and in threes the first; halves of beats for broken figures,
// thirds of compound ones; the strong beats alone for chords that are struck.
// The beginning of a chord is always one, and strong.
func pulses(s stretch, beats []score.Time, figure Figure) []pulse {
	all := []pulse{{s.from, true}}
	add := func(at score.Time, strong bool) {
		if s.from.Less(at) && at.Less(s.to) {
			all = append(all, pulse{at, strong})
		}
	}
	var at score.Time
	for i, b := range beats {
		strong := i == 0 || len(beats)%3 != 0 && i%2 == 0
		compound := b == score.Frac(3, 2)
		switch {
		case figure == Struck || figure == Held:
			if strong || compound {
				add(at, true)
			}
		case figure == AfterBeat && compound:
			add(at, true)
			add(at.Add(b.Mul(2, 3)), false)
		case figure == AfterBeat && len(beats) < 3:
			add(at, true)
			add(at.Add(b.Mul(1, 2)), false)
		case figure == AfterBeat:
			add(at, strong)
		case compound:
			add(at, true)
			add(at.Add(b.Mul(1, 3)), false)
			add(at.Add(b.Mul(2, 3)), false)
		default:
			add(at, true)
			add(at.Add(b.Mul(1, 2)), false)
		}
		at = at.Add(b)
	}
	return all
}

// Where bass and chord lie before they are arranged for a tower: the bass from
// C2, the chord from E3.
const (
	bassLow  = 36
	chordLow = 52
)

// voice is a chord's bass, and its other tones as near to the chord before as
// can be.
func (w *writer) voice(h harmony.Span) (bass int, chord []int) {
	c := h.Chord
	low := c.Root.Class()
	if c.HasBass {
		low = c.Bass.Class()
	}
	bass = above(bassLow, low)
	var classes []int
	for _, t := range harmony.Tones(c) {
		if class := (c.Root.Class() + t.Semitones) % 12; class != low && !slices.Contains(classes, class) {
			classes = append(classes, class)
		}
	}
	if len(classes) == 0 {
		return bass, []int{above(chordLow, low)}
	}
	best, least := []int(nil), 1<<30
	for start := chordLow; start < chordLow+12; start++ {
		if !slices.Contains(classes, start%12) {
			continue
		}
		voiced := stack(start, classes)
		if d := w.distance(voiced); d < least {
			best, least = voiced, d
		}
	}
	w.before = best
	return bass, best
}

// above is the lowest pitch of a class from another pitch on.
func above(from, class int) int { return from + (class-from%12+12)%12 }

// stack is a chord in close position from its lowest tone up.
func stack(start int, classes []int) []int {
	var keys []int
	for _, class := range classes {
		keys = append(keys, above(start, class))
	}
	slices.Sort(keys)
	return keys
}

// distance is how far a chord is from the one before, or from middle C.
func (w *writer) distance(keys []int) int {
	sum := 0
	for _, k := range keys {
		nearest := 1 << 20
		for _, b := range w.before {
			nearest = min(nearest, max(k-b, b-k))
		}
		if len(w.before) == 0 {
			nearest = max(k-60, 60-k)
		}
		sum += nearest
	}
	return sum
}
