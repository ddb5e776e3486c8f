package harmony

import (
	"slices"

	"undersong/score"
)

// KeySpan is a stretch of a piece in one key.
type KeySpan struct {
	From, To score.Time
	Key
}

// Costs of a path through keys; the project's own figures. A key is left only
// where another fits better for some measures.
const (
	keyChange = 0.9
	homeWorth = 0.05 // the key of the piece, in each measure
)

// LocalKeys are the keys that a score goes through, measure by measure, in
// order and without gaps: by one path on which each measure, with its
// neighbours at half weight, correlates with a key as in [Keys], and a change
// of key has a cost, after D. Temperley, "What's Key for Key?", Music
// Perception 17 (1999). tones are s.Tones(), chords its harmony as [Find] has it, of which
// those that the score gives count as if they were played: a bare tune alone
// says little. home is the key of the piece, which is a little likelier than
// others; a piece that stays in one key is in that.
func LocalKeys(s *score.Score, tones []score.Tone, chords []Span, home Key) []KeySpan {
	starts := s.Starts()
	measures := durationsOf(tones, starts)
	addGiven(measures, chords, starts)
	blurMode(measures, home)
	if len(measures) == 0 {
		return nil
	}
	keys := allKeys(home)
	total := make([]float64, len(keys))
	from := make([]int8, len(keys)*len(measures)) // the key before, by measure
	for m := range measures {
		around := neighbourhood(measures, m)
		correlations := correlate(&around)
		best := argmax(total)
		moved, from := total[best]-keyChange, from[m*len(keys):]
		for k, key := range keys {
			from[k] = int8(k)
			if moved > total[k] {
				total[k], from[k] = moved, int8(best)
			}
			total[k] += correlations[key.mode()][key.class()]
			if key == home {
				total[k] += homeWorth
			}
		}
	}
	var spans []KeySpan
	at := argmax(total)
	for m := len(measures) - 1; m >= 0; m-- {
		if n := len(spans) - 1; n >= 0 && spans[n].Key == keys[at] {
			spans[n].From = starts[m]
		} else {
			spans = append(spans, KeySpan{starts[m], starts[m+1], keys[at]})
		}
		at = int(from[m*len(keys)+at])
	}
	slices.Reverse(spans)
	if len(spans) == 1 {
		spans[0].Key = home
	}
	return spans
}

// allKeys are the 24 keys, spelled near home.
func allKeys(home Key) []Key {
	keys := []Key{home}
	for _, minor := range []bool{false, true} {
		for fifths := home.Fifths - 6; fifths < home.Fifths+6; fifths++ {
			if k := (Key{within7(fifths), minor}); k != home {
				keys = append(keys, k)
			}
		}
	}
	return keys
}

// durationsOf is how long each pitch class sounds in each measure, in
// quarters.
func durationsOf(tones []score.Tone, starts []score.Time) [][12]float64 {
	measures := make([][12]float64, max(0, len(starts)-1))
	first := 0
	for i := range tones {
		t := &tones[i]
		for first < len(measures) && !t.Onset.Less(starts[first+1]) {
			first++
		}
		if !t.First().Plays() {
			continue
		}
		for m := first; m < len(measures) && starts[m].Less(t.End()); m++ {
			sounds := score.Min(t.End(), starts[m+1]).Sub(score.Max(t.Onset, starts[m]))
			measures[m][t.Pitch.Class()] += sounds.Quarters()
		}
	}
	return measures
}

// addGiven adds the tones of chords that the score gives.
func addGiven(measures [][12]float64, chords []Span, starts []score.Time) {
	first := 0
	for _, c := range chords {
		if !c.Given {
			continue
		}
		set := ClassesOf(c.Chord)
		for first < len(measures) && !c.From.Less(starts[first+1]) {
			first++
		}
		for m := first; m < len(measures) && starts[m].Less(c.To); m++ {
			length := score.Min(c.To, starts[m+1]).Sub(score.Max(c.From, starts[m])).Quarters()
			for class := range 12 {
				if set.Has(class) {
					measures[m][class] += length
				}
			}
		}
	}
}

// blurMode takes from the last measures what they say about major or minor, where
// nothing sounds but the tonic triad: pieces in minor end on the major chord, with
// a Picardy third, and stay in their key (common practice, no source).
func blurMode(measures [][12]float64, home Key) {
	tonic := home.class()
	minor, major := (tonic+3)%12, (tonic+4)%12
	triad := Classes(0).With(tonic).With(minor).With(major).With((tonic + 7) % 12)
	for i := len(measures) - 1; i >= 0 && within(&measures[i], triad); i-- {
		m := &measures[i]
		third := (m[minor] + m[major]) / 2
		m[minor], m[major] = third, third
	}
}

// within tells whether nothing sounds but some classes.
func within(durations *[12]float64, set Classes) bool {
	for class, d := range durations {
		if d > 0 && !set.Has(class) {
			return false
		}
	}
	return true
}

// neighbourhood are the durations of a measure and half of those beside it.
func neighbourhood(measures [][12]float64, m int) [12]float64 {
	all := measures[m]
	for _, beside := range []int{m - 1, m + 1} {
		if beside >= 0 && beside < len(measures) {
			for class, d := range measures[beside] {
				all[class] += d / 2
			}
		}
	}
	return all
}
