// Package lead makes an accompaniment of the chord symbols of a lead sheet, as
// a second part beside its line, so that it can be arranged like a piano score.
//
// It knows a few plain figures of the trade and leads the chords smoothly; it
// adds no passing notes and harmonises nothing that has no symbol.
package lead

import (
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
	Tremolo    Figure = "tremolo"     // the bass held, the chord's lowest tone and another in quick turns
)

// Figures lists all.
func Figures() []Figure {
	return []Figure{Struck, AfterBeat, BrokenUp, BrokenDown, Rocking, Held, Tremolo}
}

// Style is how the chords are played at a moment.
type Style struct {
	Figure Figure
	// Full has three tones at least in a chord that is struck after the beat: with the
	// bass's, for whoever strikes it without the bass and two of them beside the line.
	Full bool
}

// doublings is how many notes of a lead sheet may be struck while another sounds, as in
// a last chord: one in so many of the others. The project's own figure.
const doublings = 12

// Sheet tells whether a score, with its tones in time order, is a lead sheet: chord symbols
// over one line, give or take a doubled note.
func Sheet(s *score.Score, tones []score.Tone) bool {
	one, more := 0, 0
	var end score.Time // of what sounds
	for i := range tones {
		t := &tones[i]
		if !t.First().Plays() || t.First().Grace {
			continue
		}
		if t.Onset.Less(end) {
			more++
		} else {
			one++
		}
		end = score.Max(end, t.End())
	}
	if more > one/doublings {
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

// Realise is s with one part more that plays its chords, in time order, where symbols give
// them, spelled in a key, each in the style of the moment at which it begins or a
// barline parts it. s is not changed, and its measures are shared.
func Realise(s *score.Score, chords []harmony.Span, style func(score.Time) Style, key harmony.Key) *score.Score {
	w := writer{style: style, key: key, starts: s.Starts(), clock: s.Clock()}
	part := &score.Part{ID: "chords", Name: "Chords", Staves: 1}
	for i, beats := range s.Beats() {
		m := &score.Measure{Number: s.MeasureNumber(i), Length: w.starts[i+1].Sub(w.starts[i])}
		w.measure(m, w.starts[i], beats, chords)
		part.Measures = append(part.Measures, m)
	}
	out := *s
	out.Parts = append(slices.Clone(s.Parts), part)
	return &out
}

// writer writes the chords measure by measure.
type writer struct {
	style  func(score.Time) Style
	key    harmony.Key
	starts []score.Time
	clock  *score.Clock
	before []int // the chord that was voiced last, without its bass
}

// stretch is a part of a measure with one chord.
type stretch struct {
	from, to score.Time // in the measure
	span     harmony.Span
	style    Style
	turn     score.Time // from one stroke of a tremolo to the next
}

// measure writes what is played in m, stretch by stretch.
func (w *writer) measure(m *score.Measure, at score.Time, beats []score.Time, chords []harmony.Span) {
	end := at.Add(m.Length)
	first, _ := slices.BinarySearchFunc(chords, at, func(h harmony.Span, at score.Time) int { return h.To.Cmp(at) })
	for _, h := range chords[first:] {
		if !h.From.Less(end) {
			break
		}
		from, to := score.Max(h.From, at).Sub(at), score.Min(h.To, end).Sub(at)
		if !h.Given || !h.Chord.HasRoot || !from.Less(to) {
			continue
		}
		start := at.Add(from)
		w.play(m, stretch{from, to, h, w.style(start), w.turn(start)}, beats, !h.From.Less(at))
	}
}

// play writes one stretch. begins tells whether its chord begins in it.
func (w *writer) play(m *score.Measure, s stretch, beats []score.Time, begins bool) {
	points := pulses(s, beats)
	figure := s.style.Figure
	if tooShort(figure, points) {
		figure, points = Struck, []pulse{{s.from, s.to, true}}
	}
	bass, chord := w.voice(s.span, s.style.Full && figure == AfterBeat)
	all := append([]int{bass}, chord...)
	switch figure {
	case Held:
		if begins { // then the bells ring on
			w.strike(m, s.from, s.to, all...)
		}
	case Struck:
		for _, p := range points {
			w.strike(m, p.at, p.to, all...)
		}
	case AfterBeat:
		for _, p := range points {
			if p.strong {
				w.strike(m, p.at, p.to, bass)
			} else {
				w.strike(m, p.at, p.to, chord...)
			}
		}
	default:
		if figure == Tremolo && begins {
			w.strike(m, s.from, s.to, bass)
		}
		order := figure.order(bass, chord)
		for i, p := range points {
			w.strike(m, p.at, p.to, order[i%len(order)])
		}
	}
}

// tooShort tells whether a stretch has no time for its figure: for bass and chord
// by turns it has where one of its moments is weak, for broken ones from three on.
func tooShort(f Figure, points []pulse) bool {
	switch f {
	case Held, Struck:
		return false
	case AfterBeat:
		return !slices.ContainsFunc(points, func(p pulse) bool { return !p.strong })
	}
	return len(points) < 3
}

// quickest is the least time in seconds between two strokes of a tremolo, which
// two hands play by turns: the project's own figure.
const quickest = 0.12

// turn is the time from one stroke of a tremolo to the next: a sixteenth note, or
// an eighth where that is too quick.
func (w *writer) turn(at score.Time) score.Time {
	sixteenth := score.Frac(1, 4)
	if w.clock.Seconds(at.Add(sixteenth))-w.clock.Seconds(at) < quickest {
		return score.Frac(1, 2)
	}
	return sixteenth
}

// order is how a broken figure goes through bass and chord.
func (f Figure) order(bass int, chord []int) []int {
	n := len(chord)
	switch {
	case n == 0:
		return []int{bass}
	case f == BrokenUp:
		return append([]int{bass}, chord...)
	case f == BrokenDown:
		down := slices.Clone(chord)
		slices.Reverse(down)
		return append([]int{bass}, down...)
	case f == Tremolo: // one hand stays on the lowest, the other goes through the rest
		var turns []int
		for _, c := range slices.Backward(chord[min(1, n-1):]) {
			turns = append(turns, chord[0], c)
		}
		return turns
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
	at, to score.Time // to the next, or to the end
	strong bool
}

// pulses are the moments of a figure in a stretch: the beats, of which every
// other is strong and in threes the first; halves of beats for broken figures,
// thirds of compound ones; the strong beats alone for chords that are struck.
// The beginning of a chord is always one, and strong. A tremolo goes on by turns
// from there.
func pulses(s stretch, beats []score.Time) []pulse {
	figure := s.style.Figure
	all := []pulse{{s.from, s.to, true}}
	add := func(at score.Time, strong bool) {
		if s.from.Less(at) && at.Less(s.to) {
			all[len(all)-1].to = at
			all = append(all, pulse{at, s.to, strong})
		}
	}
	if figure == Tremolo {
		for at := s.from.Add(s.turn); at.Less(s.to); at = at.Add(s.turn) {
			add(at, false)
		}
		return all
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

// Where bass and chord lie before they are arranged for a tower, as in a piano
// part: the bass from C2, the chord from E3. Common practice, no source.
const (
	bassLow  = 36
	chordLow = 52
)

// IsBass tells whether a note of a realised part is its chord's bass: the others
// lie above all of them.
func IsBass(p score.Pitch) bool { return p.MIDI() < bassLow+12 }

// voice is a chord's bass, and its other tones, of a full one three at least, as near to
// the chord before as can be.
func (w *writer) voice(h harmony.Span, full bool) (bass int, chord []int) {
	c := h.Chord
	low := c.Root.Class()
	if c.HasBass {
		low = c.Bass.Class()
	}
	bass = above(bassLow, low)
	var classes []int
	for _, t := range harmony.Tones(c) {
		if class := t.Class(c.Root); class != low && !slices.Contains(classes, class) {
			classes = append(classes, class)
		}
	}
	if full && len(classes) < 3 {
		classes = append(classes, low)
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
