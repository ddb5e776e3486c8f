package melody

import (
	"testing"

	"undersong/score/shorthand"
	"undersong/voicing/melody/internal/model"
)

// TestUnison: of two hands that strike one key together, the tune's own note is the
// tune: the one in its voice, not the first or the longest.
func TestUnison(t *testing.T) {
	for name, text := range map[string]string{
		"repeated chords above":         "= x\nin 4\n2 tune: A3=1 F4=2 D4=1\n1: F4+A4=1/2x8\n",
		"a held note below":             "= x\nin 4\n1 tune: A4=1 F4=1/2 D4=1/2 A4=1 G4\n2: D3=1 F4=3\n",
		"in the second of three voices": "= x\nin 4\n1: F4=4\n1 tune: G4=1 F4 G4=2\n1: F4=1/2x8\n",
		"two in a row, restruck":        "= x\nin 4\n2 tune: A3=1 F4 F4 D4\n1: F4+A4=1/2x8\n",
	} {
		pieces, err := shorthand.Read(text)
		if err != nil {
			t.Fatal(err)
		}
		p := pieces[0]
		tones := p.Score.Tones()
		m := model.New(p.Score, tones)
		struck := map[[2]int]bool{} // by the tune
		for i := range tones {
			if p.Melody[tones[i].First()] {
				struck[[2]int{model.Ticks(tones[i].Onset), tones[i].Pitch.MIDI()}] = true
			}
		}
		var line []int
		for i := range m.Notes {
			if n := &m.Notes[i]; struck[[2]int{n.On, n.Pitch}] {
				line = append(line, i)
			}
		}
		for k, i := range tonesOf(m, tones, line) {
			if !p.Melody[tones[i].First()] {
				t.Errorf("%s: note %d of the tune is not its own", name, k)
			}
		}
	}
}
