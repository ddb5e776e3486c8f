package voicing

import (
	"fmt"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing/melody"
)

// TestKeyWorthLeaving: a bell that is struck again a hair too soon, and the next higher
// one would not be: a short tune goes up for that, a long one stays in its key.
func TestKeyWorthLeaving(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	quick := int(10_000 * (tower.RepeatTime(55) + tower.RepeatTime(56)) / 2) // between the two
	for _, c := range []struct{ times, want int }{{2, 1}, {70, 0}} {         // 24 and 840 notes
		steps := strings.Repeat("69 71 72 71 69 67 ", c.times)
		s := tuneAt(t, 60, steps+fmt.Sprintf("67:%d/10000 67:%d/10000 ", quick, 20_000-quick)+steps)
		tones := s.Tones()
		line := melody.Find(s, tones, melody.Options{})
		if got := Place(s, tones, line, tower, Inverted, TransposeAuto).Transpose; got != c.want {
			t.Errorf("%d notes go %d semitones away, want %d", len(tones), got, c.want)
		}
	}
}

// TestTransposedMinor: a part in C sharp minor under five flats, which is written with
// accidentals, stays easy to read in other keys, and sounds as it should.
func TestTransposedMinor(t *testing.T) {
	p := &score.Part{Staves: 1}
	for _, names := range []string{"Db4 Eb4 F4 Gb4", "C#4 D#4 E4 G#4", "A4 G#4 F#4 D#4", "Db4 C4 Bb3 Ab3"} {
		m := &score.Measure{Length: score.Quarters(4)}
		for i, name := range strings.Fields(names) {
			m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: score.Quarters(int64(i)), Length: score.Quarter, Pitch: scoretest.Pitch(t, name)})
		}
		p.Measures = append(p.Measures, m)
	}
	p.Measures[0].Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: -5}}}
	s := &score.Score{Parts: []*score.Part{p}}
	was := s.Tones()
	for by := -6; by <= 6; by++ {
		for i, tone := range transposed(s, by).Tones() {
			if tone.Pitch.MIDI() != was[i].Pitch.MIDI()+by || tone.Pitch.Alter > score.Sharp || tone.Pitch.Alter < -score.Sharp {
				t.Errorf("%+d semitones: %s becomes %s", by, was[i].Pitch, tone.Pitch)
			}
		}
	}
}
