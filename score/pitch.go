package score

import (
	"fmt"
	"strings"
)

// Step is a letter name, C = 0 to B = 6.
type Step int8

// The seven letter names.
const (
	C Step = iota
	D
	E
	F
	G
	A
	B
)

var stepSemitones = [7]int{0, 2, 4, 5, 7, 9, 11}

// String is the letter.
func (s Step) String() string { return "CDEFGAB"[s : s+1] }

// Semitones is the height of s above C within its octave.
func (s Step) Semitones() int { return stepSemitones[s] }

// ParseStep reads one capital letter A to G. Of all else it gives C, and false.
func ParseStep(letter string) (Step, bool) {
	if len(letter) != 1 {
		return 0, false
	}
	i := strings.IndexByte("CDEFGAB", letter[0])
	return Step(max(i, 0)), i >= 0
}

// Alter is a change of pitch in hundredths of a semitone: 100 is a sharp,
// -200 a double flat, 50 a quarter-tone up.
type Alter int16

// The usual alterations.
const (
	Natural Alter = 0
	Sharp   Alter = 100
	Flat    Alter = -100
)

// Pitch is a note's name as written: letter, alteration and octave in
// scientific notation (C4 is middle C, MIDI 60).
type Pitch struct {
	Step   Step
	Alter  Alter
	Octave int8
}

// MIDI is the number of the nearest semitone, C4 = 60. A quarter-tone counts
// to the semitone above it.
func (p Pitch) MIDI() int {
	return 12*(int(p.Octave)+1) + p.Step.Semitones() + floorDiv(int(p.Alter)+50, 100)
}

// Microtonal tells whether p lies between two semitones.
func (p Pitch) Microtonal() bool { return p.Alter%100 != 0 }

// Class is the pitch class of the nearest semitone, C = 0 to B = 11.
func (p Pitch) Class() int { return mod(p.MIDI(), 12) }

// Octaves is p moved by n octaves, spelled as before.
func (p Pitch) Octaves(n int) Pitch {
	p.Octave += int8(n)
	return p
}

// Diatonic is the number of the letter counted from C0: what decides the line
// or space on a staff.
func (p Pitch) Diatonic() int { return 7*int(p.Octave) + int(p.Step) }

// Transpose moves p by a number of letters and of semitones, as MusicXML's
// transpose element does: (1, 2) is a major second up, spelled as one.
func (p Pitch) Transpose(letters, semitones int) Pitch {
	d := p.Diatonic() + letters
	q := Pitch{Step: Step(mod(d, 7)), Octave: int8(floorDiv(d, 7))}
	want := 100*semitones + p.cents()
	q.Alter = Alter(want - q.cents())
	return q
}

func (p Pitch) cents() int {
	return 1200*(int(p.Octave)+1) + 100*p.Step.Semitones() + int(p.Alter)
}

// String is the scientific name: "F#4", "Bb2", "C4+50" for a quarter-tone.
func (p Pitch) String() string {
	return p.Step.String() + p.Alter.String() + fmt.Sprint(p.Octave)
}

// String is "#", "bb", "" or, between semitones, "+50" hundredths.
func (a Alter) String() string {
	switch {
	case a%100 != 0:
		return fmt.Sprintf("%+d", int(a))
	case a > 0:
		return strings.Repeat("#", int(a/100))
	}
	return strings.Repeat("b", int(-a/100))
}

// KeyName is the name of the key or bell with this MIDI number, with sharps:
// 48 is "C3".
func KeyName(midi int) string { return Spell(midi).String() }

// Spell is the pitch of a MIDI number, black keys spelled as sharps.
func Spell(midi int) Pitch {
	const steps = "CCDDEFFGGAAB"
	class := mod(midi, 12)
	s, _ := ParseStep(steps[class : class+1])
	return Pitch{
		Step:   s,
		Alter:  Alter(100 * (class - s.Semitones())),
		Octave: int8(floorDiv(midi, 12) - 1),
	}
}

func mod(a, n int) int { return ((a % n) + n) % n }

func floorDiv(a, n int) int { return (a - mod(a, n)) / n }
