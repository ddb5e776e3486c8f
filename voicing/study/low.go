package study

import (
	"cmp"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/melody"
)

// laid is the melody of a section on keys.
type laid struct {
	tune []*score.Tone
	at   []float64 // seconds
	keys []int     // MIDI numbers
	all  int       // phrases
	held int       // those of them that the keys hold whole
}

// layOut is the melody of a section before any of it lies on a key, and its phrases.
func (m *meter) layOut(sec form.Section) (laid, []melody.Phrase) {
	tune, phrases := m.melodyOf(sec)
	return laid{tune: tune, at: make([]float64, 0, len(tune)), keys: make([]int, 0, len(tune))}, phrases
}

// low is the melody of a section voiced inverted. What is held lies in the pedals whole.
type low struct {
	laid
	placed []voicing.PlacedNote // of each note
	pedals []int                // keys, but of what a hand has those that the feet would have
	byHand int                  // phrases that the left hand has, in whole or in part
	stay   int                  // those in the pedals that are not moved
	rise   int                  // and that are moved up
	// Why the first phrase is not in the pedals whole, is not moved, is moved up.
	broken, stays, rises *voicing.Elsewhere
	lost                 *score.Tone // the first note that has no key in any octave
	helped, late         int         // notes that a hand strikes for the feet and that come too soon
}

// layLow is the melody of a section as it is voiced inverted.
func (m *meter) layLow(sec form.Section) *low {
	on, phrases := m.layOut(sec)
	l := &low{laid: on}
	if len(l.tune) == 0 {
		return l
	}
	l.placed = m.placed.Notes[phrases[0].First:][:len(l.tune)]
	for _, p := range phrases {
		l.voicedAs(m, l.tune[len(l.at):][:p.Last-p.First], m.placed.Notes[p.First:p.Last], m.elsewhere(p))
	}
	return l
}

// voicedAs adds a phrase as it is voiced, and why it is not where it should be.
func (l *low) voicedAs(m *meter, phrase []*score.Tone, placed []voicing.PlacedNote, why *voicing.Elsewhere) {
	l.all++
	octaves := placed[0].Octaves
	byHand := slices.ContainsFunc(placed, func(n voicing.PlacedNote) bool { return !n.Pedals && !n.Lost })
	whole := !byHand && !slices.ContainsFunc(placed, func(n voicing.PlacedNote) bool { return n.Lost || n.Octaves != octaves })
	if i := slices.IndexFunc(placed, func(n voicing.PlacedNote) bool { return n.Lost }); i >= 0 && l.lost == nil {
		l.lost = phrase[i]
	}
	if byHand {
		l.byHand++
	}
	if whole {
		l.held++
	}
	switch {
	case !whole:
		l.broken = cmp.Or(l.broken, why)
	case octaves > 0:
		l.rise++
		l.rises = cmp.Or(l.rises, why)
	case octaves == 0:
		l.stay++
		l.stays = cmp.Or(l.stays, why)
	}
	feet, _ := place(phrase, m.tower.Pedals)
	for i, t := range phrase {
		n := placed[i]
		l.at = append(l.at, m.Clock.Seconds(t.Onset))
		l.keys = append(l.keys, t.Pitch.MIDI()+12*n.Octaves)
		if n.Pedals {
			l.pedals = append(l.pedals, t.Pitch.MIDI()+12*n.Octaves)
		} else {
			l.pedals = append(l.pedals, t.Pitch.MIDI()+12*feet)
		}
		if n.Helped {
			l.helped++
		}
		if n.Late {
			l.late++
		}
	}
}

// elsewhere is why a phrase, or the first part of it that is not, is not where it should be; nil
// if all of it is.
func (m *meter) elsewhere(p melody.Phrase) *voicing.Elsewhere {
	all := m.placed.Elsewhere
	i, _ := slices.BinarySearchFunc(all, p.First, func(e voicing.Elsewhere, first int) int { return cmp.Compare(e.Last, first+1) })
	if i == len(all) || all[i].First >= p.Last {
		return nil
	}
	return &all[i]
}

// octavesDown are the octaves to try, the best first: one down as in the usual
// inversion (common practice, no source), then what is nearest.
var octavesDown = []int{-1, 0, -2, 1, -3, 2, -4}

// layOnManual is the melody of a section on the manual, each phrase where it is best.
func (m *meter) layOnManual(sec form.Section) laid {
	l, phrases := m.layOut(sec)
	for _, p := range phrases {
		phrase := l.tune[len(l.at):][:p.Last-p.First]
		octaves, whole := place(phrase, m.tower.Manual)
		l.all++
		if whole {
			l.held++
		}
		for _, t := range phrase {
			l.at = append(l.at, m.Clock.Seconds(t.Onset))
			l.keys = append(l.keys, t.Pitch.MIDI()+12*octaves)
		}
	}
	return l
}

// span is the lowest and the highest pedal that is played, as the score spells them.
func (l *low) span() string {
	low, high := -1, -1 // notes
	for i, key := range l.keys {
		if !l.placed[i].Pedals || l.placed[i].Helped {
			continue
		}
		if low < 0 || key < l.keys[low] {
			low = i
		}
		if high < 0 || key > l.keys[high] {
			high = i
		}
	}
	switch {
	case low < 0:
		return ""
	case l.keys[low] == l.keys[high]:
		return l.spelled(low, l.keys[low])
	}
	return l.spelled(low, l.keys[low]) + "–" + l.spelled(high, l.keys[high])
}

// spelled is the key on which note i is played, as the score spells the note.
func (l *low) spelled(i, key int) string {
	p := l.tune[i].Pitch
	return p.Octaves((key - p.MIDI()) / 12).String()
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

// Transpose is how the whole piece would lie in another key: that of
// voicing.TransposeAuto.
type Transpose struct {
	Semitones int `json:"semitones"` // up is positive
	Phrases   int `json:"phrases"`   // that would be so in the pedals then
	Now       int `json:"now"`       // and that are as the piece is
	// OctaveDown and NotUp tell which phrases are counted: those an octave down, those no higher
	// than they are written.
	OctaveDown bool `json:"octaveDown"`
	NotUp      bool `json:"notUp,omitempty"`
	// Strokes is how many of the melody's the feet alone would have no time for then, StrokesNow as
	// the piece is.
	Strokes    int `json:"strokes"`
	StrokesNow int `json:"strokesNow"`
}

// transpose is the transposition in which the melody sits best inverted, and what it
// gains there; nil where the piece is best as it is.
func (m *meter) transpose() *Transpose {
	if len(m.placed.Notes) == 0 {
		return nil
	}
	best := m.placed.InBestKey()
	if best.Transpose == 0 {
		return nil
	}
	hard := func(n voicing.PlacedNote) bool { return n.Helped || n.Late }
	x := Transpose{Semitones: best.Transpose, Strokes: count(best.Notes, hard), StrokesNow: count(m.placed.Notes, hard)}
	for _, so := range []struct {
		down, notUp bool
		is          func(voicing.PlacedNote) bool
	}{
		{true, false, func(n voicing.PlacedNote) bool { return n.Pedals && n.Octaves == -1 }},
		{false, true, func(n voicing.PlacedNote) bool { return n.Pedals && n.Octaves <= 0 }},
		{false, false, func(n voicing.PlacedNote) bool { return n.Pedals }},
	} {
		x.OctaveDown, x.NotUp = so.down, so.notUp
		if x.Phrases, x.Now = m.phrasesOf(best.Notes, so.is), m.phrasesOf(m.placed.Notes, so.is); x.Phrases > x.Now {
			return &x
		}
	}
	return &x // it is better otherwise
}

// count is how many notes are so.
func count(notes []voicing.PlacedNote, so func(voicing.PlacedNote) bool) (n int) {
	for _, note := range notes {
		if so(note) {
			n++
		}
	}
	return n
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
