package study

import (
	"cmp"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/form"
)

// low is the melody of a section as it lies on one keyboard: an octave down,
// or where else each phrase fits.
type low struct {
	tune   []*score.Tone
	at     []float64 // seconds
	keys   []int
	held   int // phrases that lie there whole
	all    int // phrases
	broken *score.Tone
	// lacks is the first key that a phrase would need to lie an octave down.
	lacks   int
	lacking *score.Tone
	octaves []int       // of each phrase
	up      *score.Tone // where a phrase begins that is not moved down
	// Of the section voiced inverted: phrases that are in the pedals, where one begins
	// that is not, and notes that a hand strikes for the feet and that come too soon.
	inPedals     int
	wholeThere   int // of those the ones that the pedals hold whole
	byHand       *score.Tone
	helped, late int
}

// voicedAs counts a phrase as it would be voiced inverted, which the keys hold whole or
// not.
func (l *low) voicedAs(phrase []*score.Tone, placed []voicing.PlacedNote, whole bool) {
	if slices.ContainsFunc(placed, func(n voicing.PlacedNote) bool { return !n.Pedals }) {
		l.byHand = cmp.Or(l.byHand, phrase[0])
	} else {
		l.inPedals++
		if whole {
			l.wholeThere++
		}
	}
	for _, n := range placed {
		if n.Helped {
			l.helped++
		}
		if n.Late {
			l.late++
		}
	}
}

// octavesDown are the octaves to try, the best first: one down as in the usual
// inversion (common practice, no source), then what is nearest.
var octavesDown = []int{-1, 0, -2, 1, -3, 2, -4}

// layLow puts the phrases of a section on some keys.
func (m *meter) layLow(sec form.Section, keys instrument.Compass) *low {
	tune, phrases := m.melodyOf(sec)
	l := &low{tune: tune, at: make([]float64, 0, len(tune)), keys: make([]int, 0, len(tune))}
	for _, p := range phrases {
		phrase := tune[len(l.at):][:p.Last-p.First]
		whole := l.lay(m, phrase, keys)
		l.voicedAs(phrase, m.placed[p.First:p.Last], whole)
	}
	return l
}

// lay puts a phrase, which is in l.tune, on some keys, and tells whether they hold it
// whole.
func (l *low) lay(m *meter, phrase []*score.Tone, keys instrument.Compass) (whole bool) {
	octaves, whole := place(phrase, keys)
	l.all++
	if whole {
		l.held++
	} else if l.broken == nil {
		l.broken = phrase[0]
	}
	l.octaves = append(l.octaves, octaves)
	if octaves >= 0 && l.up == nil {
		l.up = phrase[0]
	}
	for _, t := range phrase {
		if key := t.Pitch.MIDI() - 12; l.lacking == nil && !keys.Has(key) {
			l.lacking, l.lacks = t, key
		}
		l.at = append(l.at, m.Clock.Seconds(t.Onset))
		l.keys = append(l.keys, t.Pitch.MIDI()+12*octaves)
	}
	return whole
}

// span is the lowest and the highest key that is there, by name.
func (l *low) span(keys instrument.Compass) string {
	there := slices.DeleteFunc(slices.Clone(l.keys), func(key int) bool { return !keys.Has(key) })
	if len(there) == 0 {
		return ""
	}
	low, high := slices.Min(there), slices.Max(there)
	if low == high {
		return score.KeyName(low)
	}
	return score.KeyName(low) + "–" + score.KeyName(high)
}

// lowAlready tells whether the melody lies under middle C, on the mean, as it
// is.
func (l *low) lowAlready() bool {
	sum := 0
	for _, t := range l.tune {
		sum += t.Pitch.MIDI()
	}
	return sum < handsLow*len(l.tune)
}

// place is the first of octavesDown in which keys hold a phrase whole, or most
// of it.
func place(phrase []*score.Tone, keys instrument.Compass) (octaves int, whole bool) {
	most := -1
	for _, o := range octavesDown {
		n := 0
		for _, t := range phrase {
			if keys.Has(t.Pitch.MIDI() + 12*o) {
				n++
			}
		}
		if n > most {
			octaves, most = o, n
		}
	}
	return octaves, most == len(phrase)
}

// pedalOctaves are the octaves, counted from the pitch as it sounds, in which
// the pedals hold a phrase whole, the highest first.
func pedalOctaves(phrase []*score.Tone, pedals instrument.Compass) []int {
	fit := []int{}
	for o := 2; o >= -4; o-- {
		held := true
		for _, t := range phrase {
			held = held && pedals.Has(t.Pitch.MIDI()+12*o)
		}
		if held {
			fit = append(fit, o)
		}
	}
	return fit
}

// Transpose is how the whole piece would lie in the pedals in another key: that of
// voicing.TransposeAuto.
type Transpose struct {
	Semitones  int  `json:"semitones"`  // up is positive
	Phrases    int  `json:"phrases"`    // that would be in the pedals then
	Now        int  `json:"now"`        // and that are as the piece is
	OctaveDown bool `json:"octaveDown"` // those are counted that are an octave down
}

// transpose is the transposition in which the melody sits best inverted, if more
// phrases are in the pedals then, or are there an octave down; nil where the piece is
// best as it is.
func (m *meter) transpose() *Transpose {
	down := func(n voicing.PlacedNote) bool { return n.Pedals && n.Octaves == -1 }
	if m.phrasesOf(m.placed, down) == len(m.Melody.Phrases) {
		return nil
	}
	best := voicing.Place(m.Score, m.Tones, m.Line, m.tower, voicing.Inverted, voicing.TransposeAuto)
	if x := (Transpose{best.Transpose, m.phrasesOf(best.Notes, down), m.phrasesOf(m.placed, down), true}); x.Phrases > x.Now {
		return &x
	}
	there := func(n voicing.PlacedNote) bool { return n.Pedals }
	if x := (Transpose{best.Transpose, m.phrasesOf(best.Notes, there), m.phrasesOf(m.placed, there), false}); x.Phrases > x.Now {
		return &x
	}
	return nil
}

// phrasesOf counts the phrases all of whose notes are so placed.
func (m *meter) phrasesOf(placed []voicing.PlacedNote, so func(voicing.PlacedNote) bool) int {
	n := 0
	for _, p := range m.Melody.Phrases {
		if !slices.ContainsFunc(placed[p.First:p.Last], func(n voicing.PlacedNote) bool { return !so(n) }) {
			n++
		}
	}
	return n
}
