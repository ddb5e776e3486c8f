package score

// Source names the element of a document that something was read from. It
// means nothing outside the document that issued it; 0 is no element: a pass
// made the thing. Sources grow in the order of the document.
//
// A pass that changes a thing may keep its Source: writers build anew what no
// longer says the same. It sets Source to 0 where the old element must not
// come back in part, such as the drawing of a sign.
type Source uint32

// Score is a piece of music: parts that run side by side, measure by measure.
type Score struct {
	Title     string   // of the work, or of the movement where that has none
	Movement  string   // the movement's own title, when there are both
	Composers []string // as credited
	Rights    []string
	Made      string // how the file came to be, for whoever opens it; "" where nothing says
	// Notices are what is likely wrong in what it was read from, and what to do, each in one
	// line for whoever looks at it or arranges it.
	Notices []string
	Parts   []*Part
}

// Part is the music of one player.
type Part struct {
	ID       string
	Name     string
	Staves   int // at least 1
	Measures []*Measure
	Source   Source
}

// Measure is one measure of one part. Onsets inside are counted from its
// start.
type Measure struct {
	Number   string // as printed: often a number, sometimes "12a" or "X1"
	Implicit bool   // the number is not counted or shown: a pickup, a split
	Length   Time   // what it holds; the time signature's where it is empty
	Notes    []Note // in document order
	Keys     []KeyChange
	Times    []TimeChange
	Clefs    []ClefChange
	// Transposes are the changes of transposition, by staff (0: all).
	Transposes []TransposeChange
	Directions []Direction
	Chords     []ChordSymbol
	Barlines   []Barline
	Others     []Other
	Source     Source
}

// TransposeChange is a transposition that begins in a measure.
type TransposeChange struct {
	Onset Time
	Staff int
	Transposition
	Source Source
}

// Starts are the onsets of the score's measures from the start of the piece
// as written, one more than there are measures: the last is the end. A
// measure is as long as the longest part makes it.
func (s *Score) Starts() []Time {
	count := s.MeasureCount()
	starts := make([]Time, 1, count+1)
	for i := range count {
		var longest Time
		for _, p := range s.Parts {
			if i < len(p.Measures) {
				longest = Max(longest, p.Measures[i].Length)
			}
		}
		starts = append(starts, starts[i].Add(longest))
	}
	return starts
}

// MeasureCount is the number of measures of the longest part.
func (s *Score) MeasureCount() int {
	n := 0
	for _, p := range s.Parts {
		n = max(n, len(p.Measures))
	}
	return n
}

// MeasureNumber is the number of measure i as printed, of the first part that
// says one; "" where none does.
func (s *Score) MeasureNumber(i int) string {
	for _, p := range s.Parts {
		if i < len(p.Measures) && p.Measures[i].Number != "" {
			return p.Measures[i].Number
		}
	}
	return ""
}

// MeasureNumbers are those of all measures.
func (s *Score) MeasureNumbers() []string {
	all := make([]string, s.MeasureCount())
	for i := range all {
		all[i] = s.MeasureNumber(i)
	}
	return all
}

// Kind is what a note stands for.
type Kind int8

// The kinds of note.
const (
	Pitched Kind = iota
	Unpitched
	Rest
)

// Note is one note or rest of a voice. Notes that share voice and onset are a
// chord.
type Note struct {
	Source Source
	Kind   Kind
	Staff  int // counted from 1, the upper
	Voice  int
	Onset  Time
	Length Time // zero for a grace note
	Pitch  Pitch
	// TieStart and TieStop say that the note is tied to the next one, or the
	// one before, of the same pitch.
	TieStart, TieStop bool
	Grace             bool   // ornamental, without time of its own
	GraceValue        Time   // what a grace note is written as, such as an eighth; zero when not said
	GraceChord        bool   // a grace note that is struck with the one before it
	TimeOnly          string // the times through that a note of a repeat is for; "" for all
	Cue               bool   // small, another player's, not to be played
	Hidden            bool   // not printed
	Courtesy          bool   // shows an accidental that the measure does not need
	Ratio             Ratio  // of all tuplets around the note together: 9:4 for 3:2 in 3:2
	Outer             Ratio  // of the tuplet around the note's own, where tuplets are nested
	Melody            bool   // the score marks it as a note of its melody
	Interlude         bool   // the score marks it as a note of a line that leads while its melody rests
	Stem              Stem
	Marks             []Mark
	Lyrics            []Lyric
}

// Leads tells whether the score marks n as a note of its tune: the melody, and what leads
// while that rests.
func (n *Note) Leads() bool { return n.Melody || n.Interlude }

// Plays tells whether n is struck by this part's player and can be seen.
func (n *Note) Plays() bool {
	return n.Kind == Pitched && !n.Cue && !n.Hidden
}

// End is where n stops.
func (n *Note) End() Time { return n.Onset.Add(n.Length) }

// Ratio is a tuplet's: Actual notes in the time of Normal. The zero value is
// none.
type Ratio struct{ Actual, Normal int }

// Stem is the direction of a note's stem.
type Stem int8

// Stem directions; StemAuto leaves it to the notation.
const (
	StemAuto Stem = iota
	StemUp
	StemDown
	StemNone
	StemDouble // one each way, of a note that two voices share
)

// Mark is a sign that follows one note: an articulation, a slur's end, an
// ornament.
type Mark struct {
	Name   string // as MusicXML names it: "slur", "staccato", "trill-mark"
	Group  string // "articulations", "ornaments", "technical", or ""
	Type   string // "start", "stop", "continue", … or ""
	Number int    // tells overlapping marks of one name apart; 1 when not said
	Source Source
}

// Lyric is a syllable of one verse.
type Lyric struct {
	Verse    string // "1", "2", "chorus"
	Text     string
	Syllabic string // "single", "begin", "middle", "end" or ""
	Extend   bool
	TimeOnly string // the times through it is for; "" for all
	Above    bool   // over the staff, not under it
	Source   Source
}
