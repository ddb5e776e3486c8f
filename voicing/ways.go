package voicing

import (
	"fmt"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/lead"
	"undersong/voicing/melody"
)

// Voicing is a way to lay music out for the bells.
type Voicing string

// The voicings, named by where the melody is.
const (
	// Inverted has the melody in the pedals, nothing below it, and everything
	// else above it, thinner and softer. A phrase that the feet cannot play is
	// given to the left hand.
	Inverted Voicing = "inverted"
	// Tenor has the melody in the left hand, the accompaniment above it in the
	// right, and a pedal below only where the harmony changes.
	Tenor Voicing = "tenor"
	// Covered has the melody in the left hand, just under two close notes of
	// the right, and a pedal below only where the harmony changes.
	Covered Voicing = "covered"
	// Plain has the melody on top, the bass in the pedals and little between.
	Plain Voicing = "plain"
	// AsWritten leaves a section as it is in the source. A score of one part
	// on at most two staves can have such sections; a whole score cannot.
	AsWritten Voicing = "as-written"
)

// Voicings lists those that a whole score can have.
func Voicings() []Voicing { return []Voicing{Inverted, Tenor, Covered, Plain} }

// seat is the limb that plays a note, and so its line of the result.
type seat int8

const (
	nowhere seat = iota
	rightHand
	leftHand
	feet
)

func (s seat) String() string {
	return [...]string{"nowhere", "right hand", "left hand", "feet"}[s]
}

// other is the other hand.
func (s seat) other() seat { return [...]seat{rightHand: leftHand, leftHand: rightHand, feet: feet}[s] }

// keyboard is what the keys under a seat are called.
func (s seat) keyboard() string { return [...]string{"keys", "keys", "keys", "pedals"}[s] }

// bassUse is what becomes of the old bass.
type bassUse int8

const (
	folded bassUse = iota // into the chords of the hands
	light                 // in the pedals where the harmony changes, else folded
	kept                  // in the pedals on the beats
)

// way is what a voicing does with the roles. Wants are in octaves from the
// source.
type way struct {
	melody     []seat // where it may go, the first is wanted
	melodyWant int
	// OctaveAsked is set where a person has asked for that octave.
	octaveAsked bool
	above       bool // the accompaniment lies above the melody
	want        int  // where the accompaniment goes
	bass        bassUse
	// Most is how many notes of the accompaniment are struck together when it
	// moves, and mostSlow when there is time: one and two for a hand, two and
	// three for both ("Arranging for Carillon", lesson "Harmony": complex
	// chords down to three or four notes, with the melody's).
	most, mostSlow int
	close          bool        // the accompaniment keeps close above the melody
	notes          int         // at once at most; 0 leaves it to the voicing
	softer         int         // marks under the melody; 0 leaves it to the balance
	alone          bool        // no accompaniment
	figure         lead.Figure // of chord symbols; "" of the options
}

var ways = map[Voicing]*way{
	Inverted: {melody: []seat{feet, leftHand}, melodyWant: -1, above: true, want: 1, most: 2, mostSlow: 3},
	Tenor:    {melody: []seat{leftHand}, melodyWant: -1, above: true, bass: light, most: 1, mostSlow: 2},
	Covered:  {melody: []seat{leftHand}, above: true, bass: light, most: 1, mostSlow: 2, close: true},
	Plain:    {melody: []seat{rightHand}, bass: kept, most: 1, mostSlow: 2},
}

// Section is a stretch of the source that is voiced in its own way.
type Section struct {
	// From and To bound it, counted from the start of the piece as written. A
	// bound inside a phrase of the melody gives way to a breath near it: a pickup
	// goes with what follows, the end of a phrase with what it ends.
	From, To score.Time
	Voicing  Voicing
	Manner   Manner
}

// Manner is what a section does otherwise than its voicing. The zero value
// changes nothing.
type Manner struct {
	// Octave is by how many octaves the melody is moved, if it can be; nil
	// leaves it to the voicing.
	Octave *int `json:"octave,omitempty"`
	// Notes is how many notes of the accompaniment are struck together at most;
	// 0 leaves it to the voicing.
	Notes int `json:"notes,omitempty"`
	// Softer is by how many dynamic marks the accompaniment is under the
	// melody; 0 leaves it to the balance of the bells.
	Softer int `json:"softer,omitempty"`
	// Alone has the melody without accompaniment.
	Alone bool `json:"alone,omitempty"`
	// Figure is how the chord symbols of a lead sheet are played; "" leaves it to
	// the options.
	Figure lead.Figure `json:"figure,omitempty"`
}

// Options say how a score is to be voiced. Zero fields take the defaults.
type Options struct {
	Tower    *instrument.Tower // default: the profile instrument.Default
	Voicing  Voicing           // of what no section covers; default: Inverted
	Sections []Section         // in time order
	Melody   []melody.Overrule // where the melody is, against what would be found

	// Transpose is by how many semitones all is moved first, from -6 to 6;
	// TransposeAuto chooses where the melody sits best.
	Transpose int
	// Figure is how the chord symbols of a lead sheet are played; the default
	// suits metre and tempo.
	Figure lead.Figure
	// Difficulty is from 1, for a slow hand, to 5, for a virtuoso; default: 3.
	Difficulty int
	// Told are findings of whoever prepared the score, which begin the report's.
	Told []Finding
	// Known is what is known of the score; nil finds it.
	Known *Known
}

// Known is what others have found in a score: the melody as [melody.Find] with the
// same overrules tells it, and with it the harmony of [harmony.Find].
type Known struct {
	Line    melody.Line
	Harmony []harmony.Span
}

// TransposeAuto leaves the key to the tower.
const TransposeAuto = 100

// ease is by how much longer than the player's limits say the limbs take, at
// each difficulty: the project's own figures. So are the notes that are struck
// more or fewer than usual, when moving and when there is time. Nobody is asked
// for more than the limits.
var ease = [6]struct {
	time           float64
	most, mostSlow int
}{1: {1.6, -1, -1}, 2: {1.25, 0, -1}, 3: {1, 0, 0}, 4: {1, 0, 1}, 5: {1, 1, 1}}

// way is the way of a section.
func (s *Section) way() *way {
	base := ways[s.Voicing]
	if base == nil || s.Manner == (Manner{}) {
		return base
	}
	w := *base
	if s.Manner.Octave != nil {
		w.melodyWant, w.octaveAsked = *s.Manner.Octave, true
	}
	w.notes, w.softer, w.alone, w.figure = s.Manner.Notes, s.Manner.Softer, s.Manner.Alone, s.Manner.Figure
	return &w
}

// limit is so many notes at once, within what hands take and the section wants.
func (w *way) limit(notes int) int {
	most := maxGrip
	if w.notes > 0 {
		most = w.notes
	}
	return min(max(notes, 1), most)
}

// wayAt is how what is struck at an onset is voiced; nil leaves it as it is.
func (a *arrangement) wayAt(onset score.Time) *way {
	if i := a.sectionAt(onset); i >= 0 {
		return a.ways[i]
	}
	return ways[a.options.Voicing]
}

// sectionAt is the index of the section that a moment falls in, -1 of none.
func (a *arrangement) sectionAt(t score.Time) int {
	i, found := slices.BinarySearchFunc(a.sections, t, func(s Section, t score.Time) int { return s.From.Cmp(t) })
	if !found {
		i--
	}
	if i < 0 || !t.Less(a.sections[i].To) {
		return -1
	}
	return i
}

// handsFree tells whether the hands have nothing to do with the melody, as long as
// the feet can play it.
func (w *way) handsFree() bool { return w.melody[0] == feet }

func (o *Options) check(s *score.Score) error {
	if !slices.Contains(Voicings(), o.Voicing) {
		return fmt.Errorf("no voicing %q: there are %v", o.Voicing, Voicings())
	}
	if o.Difficulty < 1 || o.Difficulty > 5 {
		return fmt.Errorf("difficulty %d: it goes from 1 to 5", o.Difficulty)
	}
	if abs(o.Transpose) > farthestKey && o.Transpose != TransposeAuto {
		return fmt.Errorf("transposition by %d semitones: it goes from -%d to %d", o.Transpose, farthestKey, farthestKey)
	}
	known := append(Voicings(), AsWritten)
	figures := append(lead.Figures(), "")
	if !slices.Contains(figures, o.Figure) {
		return fmt.Errorf("no figure %q: there are %v", o.Figure, lead.Figures())
	}
	for i, sec := range o.Sections {
		switch {
		case !slices.Contains(figures, sec.Manner.Figure):
			return fmt.Errorf("no figure %q for a section: there are %v", sec.Manner.Figure, lead.Figures())
		case !slices.Contains(known, sec.Voicing):
			return fmt.Errorf("no voicing %q for a section: there are %v", sec.Voicing, known)
		case !sec.From.Less(sec.To) || i > 0 && sec.From.Less(o.Sections[i-1].To):
			return fmt.Errorf("section %d, from %s to %s quarters, must end after it begins and begin after the one before", i+1, sec.From, sec.To)
		case sec.Manner.Notes < 0 || sec.Manner.Notes > maxGrip || sec.Manner.Softer < 0 || sec.Manner.Softer > mostApart:
			return fmt.Errorf("a section has at most %d notes of accompaniment and %d marks between it and the melody", maxGrip, mostApart)
		case sec.Voicing == AsWritten && o.Transpose != 0:
			return fmt.Errorf("a section cannot be left as written where all is transposed")
		case sec.Voicing == AsWritten && !onBarlines(s, sec):
			return fmt.Errorf("a section left as written must begin and end at barlines, not from %s to %s quarters", sec.From, sec.To)
		case sec.Voicing == AsWritten && (len(s.Parts) != 1 || s.Parts[0].Staves > 2 || transposes(s.Parts[0])):
			return fmt.Errorf("a section can only be left as written in a score of one part on at most two staves that does not transpose")
		}
	}
	return nil
}

func onBarlines(s *score.Score, sec Section) bool {
	starts := s.Starts()
	return slices.Contains(starts, sec.From) && slices.Contains(starts, sec.To)
}

// transposes tells whether a part sounds otherwise than written.
func transposes(p *score.Part) bool {
	return slices.ContainsFunc(p.Measures, func(m *score.Measure) bool {
		return slices.ContainsFunc(m.Transposes, func(t score.TransposeChange) bool { return t.Semitones != 0 })
	})
}
