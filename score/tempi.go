package score

import (
	"cmp"
	"math"
	"slices"
)

// Tempo is a tempo that begins at a moment of what is played.
type Tempo struct {
	Onset Time
	// Micros is the length of a quarter note in whole microseconds, 1 to
	// MaxMicros, as MIDI files have it.
	Micros int64
	// Seconds is when it begins.
	Seconds float64
}

// MaxMicros is the slowest tempo in microseconds a quarter note: the largest
// number of a tempo event in a Standard MIDI File (three bytes).
const MaxMicros = 1<<24 - 1

// Seconds is the time of a moment from the beginning.
func (p *Performed) Seconds(t Time) float64 {
	i, found := slices.BinarySearchFunc(p.Tempi, t, func(tempo Tempo, t Time) int { return tempo.Onset.Cmp(t) })
	if !found {
		i = max(i-1, 0)
	}
	return p.Tempi[i].after(t)
}

// after is the time of t under this tempo.
func (t *Tempo) after(at Time) float64 {
	return t.Seconds + at.Sub(t.Onset).Quarters()*float64(t.Micros)/1e6
}

// tempi is the tempo map of what is played of s.
func (p *Performed) tempi(s *Score) []Tempo {
	var all []Tempo
	for _, c := range slowed(p.tempoChanges(s), p.fermatas()) {
		micros := int64(math.Round(60e6 / c.perMinute))
		t := Tempo{Onset: c.at, Micros: min(max(micros, 1), MaxMicros)}
		last := len(all) - 1
		switch {
		case last < 0:
			all = append(all, t)
		case all[last].Onset == t.Onset:
			all[last].Micros = t.Micros
		case all[last].Micros != t.Micros:
			t.Seconds = all[last].after(t.Onset)
			all = append(all, t)
		}
	}
	return all
}

// tempoChanges are the tempi as played, fermatas not counted. Of two at one
// moment the later counts.
func (p *Performed) tempoChanges(s *Score) []tempoChange {
	first, _ := s.firstTempo()
	landings := s.tempoAtStarts(first)
	changes := []tempoChange{{at: Time{}, perMinute: first}}
	for i, o := range p.Order {
		if isJump(p.Order, i) {
			changes = append(changes, tempoChange{p.Starts[i], landings[o.Measure]})
		}
		for _, c := range p.Score.tempiIn(i) {
			changes = append(changes, tempoChange{p.Starts[i].Add(c.at), c.perMinute})
		}
	}
	return changes
}

// tempoAtStarts is the tempo that holds when each measure begins, as written.
func (s *Score) tempoAtStarts(first float64) []float64 {
	at := make([]float64, s.MeasureCount())
	for i := range at {
		at[i] = first
		if own := s.tempiIn(i); len(own) > 0 {
			first = own[len(own)-1].perMinute
		}
	}
	return at
}

// span is a stretch of time.
type span struct{ from, to Time }

// fermatas are the stretches held by fermatas, which do not overlap.
func (p *Performed) fermatas() []span {
	var all []span
	for _, part := range p.Score.Parts {
		for i, m := range part.Measures {
			for j := range m.Notes {
				n := &m.Notes[j]
				held := slices.ContainsFunc(n.Marks, func(m Mark) bool { return m.Name == "fermata" })
				if held && !n.Cue && n.Length.Sign() > 0 {
					from := p.Starts[i].Add(n.Onset)
					all = append(all, span{from, from.Add(n.Length)})
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b span) int { return cmp.Or(a.from.Cmp(b.from), a.to.Cmp(b.to)) })
	var kept []span
	for _, f := range all {
		last := len(kept) - 1
		switch {
		case last < 0 || !f.from.Less(kept[last].to):
			kept = append(kept, f)
		case kept[last].from.Less(f.from):
			kept[last] = f
		}
	}
	return kept
}

// slowed halves the tempi of stretches.
func slowed(changes []tempoChange, stretches []span) []tempoChange {
	type event struct {
		tempoChange       // perMinute 0: the tempo stays
		begins, ends bool // of a stretch
	}
	var events []event
	for _, c := range changes {
		events = append(events, event{tempoChange: c})
	}
	for _, f := range stretches {
		events = append(events,
			event{tempoChange: tempoChange{at: f.from}, begins: true},
			event{tempoChange: tempoChange{at: f.to}, ends: true})
	}
	slices.SortStableFunc(events, func(a, b event) int { return a.at.Cmp(b.at) })
	var out []tempoChange
	tempo, divisor := 0.0, 1.0
	for _, e := range events {
		switch {
		case e.begins:
			divisor = 2
		case e.ends:
			divisor = 1
		default:
			tempo = e.perMinute
		}
		out = append(out, tempoChange{e.at, tempo / divisor})
	}
	return out
}
