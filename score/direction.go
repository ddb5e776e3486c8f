package score

// Direction is what is written above or below a staff at one moment: words,
// dynamics, tempo. One direction can show several things.
type Direction struct {
	Onset Time
	Staff int // 0: not said
	Voice int // 0: not said
	// Placement is "above", "below" or "", not said.
	Placement string
	Signs     []Sign
	Sound     Sound
	Source    Source
}

// Sign is one thing that a direction shows.
type Sign struct {
	Name   string // as MusicXML names it: "words", "dynamics", "wedge"
	Text   string // the words, the letters of a dynamic mark ("mf"), or the note that a new metronome mark counts ("quarter.")
	Type   string // "crescendo", "stop", "down", … or ""
	Number int    // tells overlapping lines of one name apart; 1 when not said
	Size   int    // of an ottava: 8, 15 or 22
	Source Source // the sign's own element
}

// Sound is what a direction means to the ear, and to the order of
// performance.
type Sound struct {
	Tempo    float64 // quarter notes a minute; 0 when not said
	Dynamics float64 // per cent of a normal forte; 0 when not said

	DaCapo       bool
	Fine         bool
	Segno, Coda  string // labels of the places to jump to
	DalSegno     string
	ToCoda       string
	TimeOnly     string // the passes it counts for, "" for all
	ForwardStart bool   // a forward repeat implied here
}

// ChordSymbol is a chord written above the staff.
type ChordSymbol struct {
	Onset   Time
	Staff   int
	HasRoot bool  // false for a function or numeral, which has none written
	Root    Pitch // octave 0
	Numeral Numeral
	Kind    string
	Text    string // the kind as printed, "m7" or "N.C."; "" when not said
	// Inversion is which tone above the root is the bass: 1 for the third of a
	// triad; 0 for the root, and when not said.
	Inversion int
	HasBass   bool
	Bass      Pitch
	Degrees   []Degree
	Source    Source
}

// Numeral is a degree of a scale in the place of a root.
type Numeral struct {
	Degree int   // 1 to 7; 0 of none
	Alter  Alter // above the degree of the scale
	// HasKey is set where it counts in Key, not in the key in force.
	HasKey bool
	Key    KeySignature
}

// Degree changes one tone of a chord symbol.
type Degree struct {
	Value int // 5 for the fifth
	Alter Alter
	Type  string // "add", "alter", "subtract"
}

// Barline is a bar's edge that says more than a plain line.
type Barline struct {
	Onset       Time   // where the document has it
	Location    string // "left", "right" or "middle"
	Style       string // "light-heavy", …; "" for a plain line
	Repeat      string // "forward", "backward" or ""
	Times       int    // of a backward repeat; 2 when not said
	AfterJump   bool
	Ending      Ending
	Segno, Coda bool
	// SegnoLabel and CodaLabel are what jumps call them by; "" when not said.
	SegnoLabel, CodaLabel string
	Source                Source
}

// Ending is the start or end of a volta.
type Ending struct {
	Numbers string // "1", "1, 2"
	Type    string // "start", "stop", "discontinue" or ""
}

// Other is an element that this model only carries: a layout hint, a figured
// bass, a measure style.
type Other struct {
	Name   string // the element's
	Onset  Time
	Staff  int
	Source Source
}
