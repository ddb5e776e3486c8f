package score_test

import (
	"testing"

	"pgregory.net/rapid"

	"undersong/score"
)

func TestPitchNames(t *testing.T) {
	for _, test := range []struct {
		pitch score.Pitch
		name  string
		midi  int
		class int
		line  int
		micro bool
	}{
		{score.Pitch{Step: score.C, Octave: 4}, "C4", 60, 0, 28, false},
		{score.Pitch{Step: score.A, Octave: 4}, "A4", 69, 9, 33, false},
		{score.Pitch{Step: score.F, Alter: score.Sharp, Octave: 4}, "F#4", 66, 6, 31, false},
		{score.Pitch{Step: score.B, Alter: 2 * score.Flat, Octave: 2}, "Bbb2", 45, 9, 20, false},
		{score.Pitch{Step: score.C, Alter: score.Flat, Octave: 4}, "Cb4", 59, 11, 28, false},
		{score.Pitch{Step: score.B, Alter: score.Sharp, Octave: 3}, "B#3", 60, 0, 27, false},
		{score.Pitch{Step: score.C, Octave: 0}, "C0", 12, 0, 0, false},
		{score.Pitch{Step: score.C, Alter: 50, Octave: 4}, "C+504", 61, 1, 28, true},
		{score.Pitch{Step: score.C, Alter: -50, Octave: 4}, "C-504", 60, 0, 28, true},
		{score.Pitch{Step: score.C, Alter: 25, Octave: 4}, "C+254", 60, 0, 28, true},
	} {
		p := test.pitch
		if p.String() != test.name || p.MIDI() != test.midi || p.Class() != test.class ||
			p.Diatonic() != test.line || p.Microtonal() != test.micro {
			t.Errorf("%+v: %s, MIDI %d, class %d, line %d, microtonal %t; want %+v",
				p, p, p.MIDI(), p.Class(), p.Diatonic(), p.Microtonal(), test)
		}
	}
}

func TestParseStep(t *testing.T) {
	for i, letter := range []string{"C", "D", "E", "F", "G", "A", "B"} {
		s, ok := score.ParseStep(letter)
		if !ok || int(s) != i || s.String() != letter {
			t.Errorf("%s is read as %d, %t", letter, s, ok)
		}
	}
	for _, text := range []string{"", "H", "c", "CC"} {
		if s, ok := score.ParseStep(text); ok || s != score.C {
			t.Errorf("%q is read as %s", text, s)
		}
	}
}

// TestTranspose: MusicXML 4.0 says of transpose that diatonic is the number
// of pitch steps (letters) and chromatic that of semitones to be added to the
// written pitch, both with their octaves in octave-change. The instruments
// are common knowledge, from memory.
func TestTranspose(t *testing.T) {
	pitch := func(step score.Step, alter score.Alter, octave int8) score.Pitch {
		return score.Pitch{Step: step, Alter: alter, Octave: octave}
	}
	for _, test := range []struct {
		name               string
		letters, semitones int
		written, want      score.Pitch
	}{
		{"clarinet in B flat", -1, -2, pitch(score.C, 0, 4), pitch(score.B, score.Flat, 3)},
		{"clarinet in B flat, F sharp", -1, -2, pitch(score.F, score.Sharp, 4), pitch(score.E, 0, 4)},
		{"clarinet in A", -2, -3, pitch(score.C, 0, 4), pitch(score.A, 0, 3)},
		{"horn in F", -4, -7, pitch(score.C, 0, 4), pitch(score.F, 0, 3)},
		{"alto saxophone", -5, -9, pitch(score.C, 0, 5), pitch(score.E, score.Flat, 4)},
		{"tenor saxophone: an octave and a tone", -8, -14, pitch(score.D, 0, 5), pitch(score.C, 0, 4)},
		{"clarinet in E flat", 2, 3, pitch(score.E, 0, 4), pitch(score.G, 0, 4)},
		{"double bass", -7, -12, pitch(score.C, score.Sharp, 3), pitch(score.C, score.Sharp, 2)},
		{"piccolo", 7, 12, pitch(score.B, 2*score.Flat, 4), pitch(score.B, 2*score.Flat, 5)},
		{"enharmonic: letters alone", 1, 0, pitch(score.C, 0, 4), pitch(score.D, 2*score.Flat, 4)},
		{"a quarter-tone stays one", 1, 2, pitch(score.C, 50, 4), pitch(score.D, 50, 4)},
	} {
		if got := test.written.Transpose(test.letters, test.semitones); got != test.want {
			t.Errorf("%s: written %s sounds %s, want %s", test.name, test.written, got, test.want)
		}
	}
}

func TestTransposeThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := score.Pitch{
			Step:   score.Step(rapid.IntRange(0, 6).Draw(t, "step")),
			Alter:  score.Alter(50 * rapid.IntRange(-4, 4).Draw(t, "alter")),
			Octave: int8(rapid.IntRange(1, 8).Draw(t, "octave")),
		}
		letters, semitones := rapid.IntRange(-9, 9).Draw(t, "letters"), rapid.IntRange(-16, 16).Draw(t, "semitones")
		q := p.Transpose(letters, semitones)
		if q.Diatonic() != p.Diatonic()+letters || q.MIDI() != p.MIDI()+semitones {
			t.Fatalf("%s by %d letters and %d semitones is %s", p, letters, semitones, q)
		}
		if back := q.Transpose(-letters, -semitones); back != p {
			t.Fatalf("%s comes back as %s", p, back)
		}
		if n := rapid.IntRange(-1, 1).Draw(t, "octaves"); p.Octaves(n) != p.Transpose(7*n, 12*n) {
			t.Fatalf("%s by %d octaves is %s", p, n, p.Octaves(n))
		}
	})
}

func TestSpell(t *testing.T) {
	for midi := range 128 {
		p := score.Spell(midi)
		if p.MIDI() != midi || p.Alter != score.Natural && p.Alter != score.Sharp {
			t.Errorf("%d is spelled %s, which is %d", midi, p, p.MIDI())
		}
	}
	for midi, want := range map[int]string{0: "C-1", 48: "C3", 61: "C#4", 70: "A#4", 127: "G9"} {
		if got := score.KeyName(midi); got != want {
			t.Errorf("key %d is called %s, want %s", midi, got, want)
		}
	}
}
