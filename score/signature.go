package score

import "slices"

// KeySignature is what a staff shows at its start.
type KeySignature struct {
	Fifths int    // sharps when positive, flats when negative
	Mode   string // "major", "minor", …; "" when not said
	// Free is set for a signature that is no row of fifths; Alters then holds
	// the alteration of each step.
	Free   bool
	Alters [7]Alter
}

// fifthsOrder is the order in which sharps are added to a signature.
var fifthsOrder = [7]Step{F, C, G, D, A, E, B}

// Alter is the alteration that k puts on step s in every octave.
func (k KeySignature) Alter(s Step) Alter {
	if k.Free {
		return k.Alters[s]
	}
	var place int
	for i, f := range fifthsOrder {
		if f == s {
			place = i
		}
	}
	// Seven more fifths put every step one sharp higher.
	return Alter(100 * floorDiv(k.Fifths+6-place, 7))
}

// KeyChange is a key signature that begins in a measure.
type KeyChange struct {
	Onset  Time
	Staff  int // 0: all staves of the part
	Key    KeySignature
	Source Source
}

// TimeSignature is one or more groups of beats, such as 6/8 or 3+2/8. An
// unmeasured passage (senza misura) has no groups.
type TimeSignature struct {
	Groups []BeatGroup
}

// BeatGroup is a numerator, perhaps a sum, over a denominator.
type BeatGroup struct {
	Beats []int // {6}, or {3, 2} for 3+2
	Unit  int   // 8 for eighth notes
}

// Equal tells whether t and u are written the same.
func (t TimeSignature) Equal(u TimeSignature) bool {
	return slices.EqualFunc(t.Groups, u.Groups, func(a, b BeatGroup) bool {
		return a.Unit == b.Unit && slices.Equal(a.Beats, b.Beats)
	})
}

// Length is how long a full measure is; ok is false without measure.
func (t TimeSignature) Length() (length Time, ok bool) {
	for _, g := range t.Groups {
		for _, b := range g.Beats {
			length = length.Add(Frac(4*int64(b), int64(g.Unit)))
		}
	}
	return length, length.Sign() > 0
}

// Beats are the lengths of the beats of a measure in order: dotted in the
// compound meters (6/8 has two, each of 3/2 quarters), the groups themselves
// where the numerator is a sum, and the usual 2s and 3s of five and seven.
func (t TimeSignature) Beats() []Time {
	var beats []Time
	for _, g := range t.Groups {
		for _, b := range g.Beats {
			beats = append(beats, groupBeats(b, g.Unit, len(g.Beats) > 1)...)
		}
	}
	return beats
}

// groupBeats divides n units into beats.
func groupBeats(n, unit int, sum bool) []Time {
	u := Frac(4, int64(unit))
	if sum && unit >= 8 {
		return []Time{u.Mul(int64(n), 1)}
	}
	var beats []Time
	switch {
	case unit >= 8 && n%3 == 0:
		for range n / 3 {
			beats = append(beats, u.Mul(3, 1))
		}
	case unit >= 8 && n > 1:
		// Two by two, a last three where the number is odd; five is three and
		// two.
		if n == 5 {
			return []Time{u.Mul(3, 1), u.Mul(2, 1)}
		}
		for ; n > 3; n -= 2 {
			beats = append(beats, u.Mul(2, 1))
		}
		beats = append(beats, u.Mul(int64(n), 1))
	default:
		for range n {
			beats = append(beats, u)
		}
	}
	return beats
}

// TimeChange is a time signature that begins in a measure.
type TimeChange struct {
	Onset  Time
	Staff  int // 0: all staves of the part
	Time   TimeSignature
	Source Source
}

// Clef is a sign on a line: {G, 2} is the treble clef, {F, 4} the bass clef.
type Clef struct {
	Sign         string
	Line         int
	OctaveChange int
}

// The two clefs of a carillon score.
var (
	Treble = Clef{Sign: "G", Line: 2}
	Bass   = Clef{Sign: "F", Line: 4}
)

// MiddleLine is the diatonic number (see [Pitch.Diatonic]) of the middle
// line: B4 under the treble clef. ok is false for a clef without pitch.
func (c Clef) MiddleLine() (diatonic int, ok bool) {
	var line int // the diatonic number of the clef's own line
	switch c.Sign {
	case "G":
		line = Pitch{Step: G, Octave: 4}.Diatonic()
	case "F":
		line = Pitch{Step: F, Octave: 3}.Diatonic()
	case "C":
		line = Pitch{Step: C, Octave: 4}.Diatonic()
	default:
		return 0, false
	}
	return line + 2*(3-c.Line) + 7*c.OctaveChange, true
}

// ClefChange is a clef that begins in a measure.
type ClefChange struct {
	Onset  Time
	Staff  int
	Clef   Clef
	Source Source
}

// Transposition is what must be added to written pitches to get the sound.
type Transposition struct {
	Letters   int // diatonic steps
	Semitones int // chromatic steps, octaves included
}

// intervalLetters are the letters that the usual interval of so many semitones
// spans within an octave: a major second for 2, a minor third for 3.
var intervalLetters = [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}

// Interval is the transposition by so many semitones, spelled as the usual
// interval.
func Interval(semitones int) Transposition {
	octaves, rest := floorDiv(semitones, 12), mod(semitones, 12)
	return Transposition{Letters: 7*octaves + intervalLetters[rest], Semitones: semitones}
}
