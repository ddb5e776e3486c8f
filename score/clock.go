package score

import (
	"math"
	"slices"
	"strings"
)

// Clock tells when what is written is played, in seconds, each measure once
// and without what players do of their own accord.
type Clock struct {
	at      []Time // where a tempo begins
	seconds []float64
	quarter []float64 // how long a quarter note lasts from there on
	from    string
}

// Where a tempo comes from that is no word of the score.
const (
	fromScore = "the score"
	assumed   = "assumed"
)

// What is taken where a score says nothing, in quarter notes a minute: a quiet
// walking pace, and a slower one by half notes where the metre counts those; the
// project's own figures.
const (
	plainTempo = 90
	halfTempo  = 132
)

// tempoWords are the usual words at the head of a piece and about the middle of
// what metronomes print beside them, in quarter notes a minute (from memory;
// makers differ).
var tempoWords = []struct {
	word  string
	tempo float64
}{
	{"prestissimo", 200}, {"presto", 180}, {"vivace", 160}, {"allegretto", 112}, {"allegro", 132}, {"moderato", 100},
	{"andantino", 84}, {"andante", 76}, {"adagietto", 70}, {"adagio", 60}, {"larghetto", 60}, {"largo", 48}, {"lento", 52}, {"grave", 44},
	{"schnell", 144}, {"lebhaft", 132}, {"bewegt", 112}, {"mäßig", 96}, {"langsam", 60},
	{"fast", 144}, {"lively", 132}, {"moderately", 100}, {"slowly", 60}, {"slow", 60},
}

// Clock is the clock of s. Where the score gives no tempo at its beginning, it
// is guessed from its first word for one, else taken to be 90 quarter notes a
// minute, or 66 half notes where the first metre counts these.
func (s *Score) Clock() *Clock {
	tempo, from := s.firstTempo()
	c := &Clock{at: []Time{{}}, seconds: []float64{0}, quarter: []float64{60 / tempo}, from: from}
	for _, ch := range s.tempi() {
		c.seconds = append(c.seconds, c.Seconds(ch.at))
		c.at = append(c.at, ch.at)
		c.quarter = append(c.quarter, 60/ch.perMinute)
	}
	return c
}

// Steady is a clock of one tempo, in quarter notes a minute, that a score gives.
func Steady(perMinute float64) *Clock {
	return &Clock{at: []Time{{}}, seconds: []float64{0}, quarter: []float64{60 / perMinute}, from: fromScore}
}

// Assumed tells whether the score gives no tempo at all, neither in numbers nor by a
// word.
func (c *Clock) Assumed() bool { return c.from == assumed && len(c.at) == 1 }

// Seconds is the time of an onset from the beginning, 0 for one before it.
func (c *Clock) Seconds(t Time) float64 {
	t = Max(t, Time{})
	i, found := slices.BinarySearchFunc(c.at, t, Time.Cmp)
	if !found {
		i--
	}
	for i+1 < len(c.at) && c.at[i+1] == t {
		i++
	}
	return c.seconds[i] + t.Sub(c.at[i]).Quarters()*c.quarter[i]
}

// Tempo is the tempo at the beginning, in quarter notes a minute, and where it
// comes from: "the score", a word of the score in quotes, or "assumed". It has three
// places: more are none of the music's.
func (c *Clock) Tempo() (perMinute float64, from string) {
	i := 0
	for i+1 < len(c.at) && c.at[i+1].Sign() == 0 {
		i++
	}
	return math.Round(60_000/c.quarter[i]) / 1000, c.from
}

type tempoChange struct {
	at        Time
	perMinute float64
}

// tempi are the tempi that s gives in numbers, in time order.
func (s *Score) tempi() []tempoChange {
	starts := s.Starts()
	var all []tempoChange
	for i := range s.MeasureCount() {
		for _, c := range s.tempiIn(i) {
			all = append(all, tempoChange{starts[i].Add(c.at), c.perMinute})
		}
	}
	// Again: what stands at an offset may lie beyond its measure.
	slices.SortStableFunc(all, func(x, y tempoChange) int { return x.at.Cmp(y.at) })
	return all
}

// tempiIn are the tempi given in measure i, by onset in it.
func (s *Score) tempiIn(i int) []tempoChange {
	var all []tempoChange
	for _, p := range s.Parts {
		if i >= len(p.Measures) {
			continue
		}
		for j := range p.Measures[i].Directions {
			if d := &p.Measures[i].Directions[j]; d.Sound.Tempo > 0 {
				all = append(all, tempoChange{d.Onset, d.Sound.Tempo})
			}
		}
	}
	slices.SortStableFunc(all, func(x, y tempoChange) int { return x.at.Cmp(y.at) })
	return all
}

// firstTempo is the tempo before the first that is given in numbers.
func (s *Score) firstTempo() (perMinute float64, from string) {
	if t := s.tempi(); len(t) > 0 && len(s.Starts()) > 1 && t[0].at.Less(s.Starts()[1]) {
		return t[0].perMinute, fromScore
	}
	for _, p := range s.Parts {
		if len(p.Measures) == 0 {
			continue
		}
		for _, d := range p.Measures[0].Directions {
			for _, sign := range d.Signs {
				text := strings.ToLower(sign.Text)
				for _, w := range tempoWords {
					if sign.Name == "words" && strings.Contains(text, w.word) {
						return w.tempo, `"` + sign.Text + `"`
					}
				}
			}
		}
	}
	if s.countsHalves() {
		return halfTempo, assumed
	}
	return plainTempo, assumed
}

// countsHalves tells whether the first time signature counts half notes.
func (s *Score) countsHalves() bool {
	for _, p := range s.Parts {
		if len(p.Measures) > 0 && len(p.Measures[0].Times) > 0 {
			groups := p.Measures[0].Times[0].Time.Groups
			return len(groups) > 0 && groups[0].Unit == 2
		}
	}
	return false
}
