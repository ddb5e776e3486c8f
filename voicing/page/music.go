package page

import (
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
	"undersong/voicing/study"
)

// mark is a note as it is drawn.
type mark struct {
	measure  int // in which it is struck
	from, to score.Time
	key      int // MIDI number
	name     string
	tune     bool
	foot     bool
	leftOut  bool
	missing  bool // it has no key
}

// music is a score as it is drawn: measures and marks, in time order.
type music struct {
	numbers []string // of the measures as printed
	starts  []score.Time
	beats   [][]score.Time
	marks   [][]mark // by measure: what is struck in it, or goes on into it
	low     int      // the lowest and highest keys that are drawn
	high    int
}

func newMusic(s *score.Score) *music {
	return &music{
		numbers: s.MeasureNumbers(), starts: s.Starts(), beats: s.Beats(), marks: make([][]mark, s.MeasureCount()), low: 128,
	}
}

// settled gives a music in which nothing is struck a place to be drawn in.
func (m *music) settled() *music {
	if m.low > m.high {
		m.low, m.high = 60, 72
	}
	return m
}

// quarters is how long measures are, from one until before another.
func (m *music) quarters(from, to int) float64 { return m.starts[to].Sub(m.starts[from]).Quarters() }

// add puts a mark into every measure in which it is drawn.
func (m *music) add(k mark) {
	m.low, m.high = min(m.low, k.key), max(m.high, k.key)
	for i := k.measure; i < len(m.marks) && (i == k.measure || m.starts[i].Less(k.to)); i++ {
		m.marks[i] = append(m.marks[i], k)
	}
}

func markOf(t *score.Tone) mark {
	return mark{measure: t.Pieces[0].Measure, from: t.Onset, to: t.End()}
}

// source is the music of a score before it is voiced, at the pitch that it
// sounds. leftOut tells of a note whether the result lacks it; nil for none.
func source(a *study.Analysis, leftOut func(*score.Tone) bool) *music {
	m := newMusic(a.Score)
	tune := map[int]bool{}
	for _, i := range melody.Leading(a.Tones, a.Melody) {
		tune[i] = true
	}
	for i := range a.Tones {
		t := &a.Tones[i]
		if !t.First().Plays() {
			continue
		}
		k := markOf(t)
		k.key, k.name, k.tune = t.Pitch.MIDI(), t.Pitch.String(), tune[i]
		k.leftOut = leftOut != nil && leftOut(t)
		m.add(k)
	}
	return m.settled()
}

// result is the music of a carillon score, by its keys.
func (v *Voice) result() *music {
	m := newMusic(v.Result)
	type staff struct {
		part  string
		staff int
	}
	pedals := map[staff]bool{}
	for _, k := range v.Check.Keyboards {
		pedals[staff{k.Part, k.Staff}] = k.Pedals
	}
	tones := v.Result.Tones()
	for i := range tones {
		t := &tones[i]
		n := t.First()
		if !n.Plays() {
			continue
		}
		k := markOf(t)
		k.key, k.name, k.tune = n.Pitch.MIDI(), n.Pitch.String(), v.Report.Tune(t)
		k.foot = pedals[staff{v.Result.Parts[t.Part].ID, n.Staff}]
		keys := v.Tower.Manual
		if k.foot {
			keys = v.Tower.Pedals
		}
		k.missing = !keys.Has(k.key)
		m.add(k)
	}
	m.low, m.high = min(m.low, v.Tower.Manual.Low()), max(m.high, v.Tower.Manual.High())
	return m
}

// index finds the measure of a printed number, from a measure on or else from
// the beginning; -1 where there is none.
func (m *music) index(number string, from int) int {
	if i := slices.Index(m.numbers[from:], number); i >= 0 && number != "" {
		return i + from
	}
	return slices.Index(m.numbers, number)
}
