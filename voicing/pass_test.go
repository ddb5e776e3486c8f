package voicing

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/instrument"
	"undersong/score"
)

// arrange runs the passes of a voicing up to, and with, the one named.
func arrange(t *testing.T, s *score.Score, v Voicing, last string) *Arrangement {
	t.Helper()
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	a := newArrangement(s, tower)
	for _, step := range Steps(v) {
		a.pass = step.Pass.Name()
		step.Pass.Apply(a)
		if a.pass == last {
			return a
		}
	}
	if last != "" {
		t.Fatalf("no pass %q", last)
	}
	return a
}

// TestPassContract: a pass leaves every note placed on a key that is there,
// left out with a reason, or not yet placed; it records what it leaves out
// and moves; and it does the same again on the same score.
func TestPassContract(t *testing.T) {
	for _, v := range Voicings() {
		for _, step := range Steps(v) {
			name := step.Pass.Name()
			if step.Why == "" {
				t.Errorf("pass %q has no reason for its place", name)
			}
			t.Run(fmt.Sprint(v, " ", name), func(t *testing.T) {
				eachScore(t, func(t *testing.T, s *score.Score) {
					a := arrange(t, s, v, name)
					recorded := map[string]int{}
					for _, c := range a.report.Changes {
						switch {
						case c.Note != "" && c.LeftOut != "":
							recorded["left out"]++
						case c.Octaves != 0:
							recorded["moved"]++
						}
					}
					want := map[string]int{}
					for _, n := range a.Notes {
						switch {
						case n.LeftOut != "":
							want["left out"]++
						case n.Keyboard != Nowhere && !a.keys(n.Keyboard).Has(n.Key()):
							t.Errorf("%s at %s is on no key", n.PlacedPitch(), n.Onset)
						}
						if n.Keyboard != Nowhere && n.Octaves != 0 {
							want["moved"]++
						}
					}
					if diff := cmp.Diff(want, recorded); diff != "" {
						t.Errorf("changes that are not recorded (-made +recorded):\n%s", diff)
					}
					if diff := cmp.Diff(a.report.Changes, arrange(t, s, v, name).report.Changes, cmp.AllowUnexported(Change{})); diff != "" {
						t.Errorf("twice is not alike:\n%s", diff)
					}
				})
			})
		}
	}
}

// TestMeasuresKeepTheirLength also holds the result to the source's measure
// numbers.
func TestMeasuresKeepTheirLength(t *testing.T) {
	for _, v := range Voicings() {
		eachScore(t, func(t *testing.T, s *score.Score) {
			out, _, err := Voice(s, Options{Voicing: v})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(s.Starts(), out.Starts(), cmp.Comparer(func(x, y score.Time) bool { return x == y })); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestSound: a result is sound wherever its source is (score.Check).
func TestSound(t *testing.T) {
	for _, v := range Voicings() {
		eachScore(t, func(t *testing.T, s *score.Score) {
			if len(score.Check(s)) > 0 {
				t.Skip("the source itself is not")
			}
			out, _, err := Voice(s, Options{Voicing: v})
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range score.Check(out) {
				t.Error(e)
			}
		})
	}
}

// TestManual: inverted, the hands strike at most two notes at once, each a
// step softer than the feet at the same moment.
func TestManual(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		out, _, err := Voice(s, Options{})
		if err != nil {
			t.Fatal(err)
		}
		struck := map[score.Time]int{}
		for _, tone := range out.Tones() {
			if tone.First().Staff == 1 {
				struck[tone.Onset]++
			}
		}
		for at, n := range struck {
			if n > 2 {
				t.Errorf("%d notes struck at %s", n, at)
			}
		}
		for _, m := range out.Parts[0].Measures {
			feet := map[score.Time]string{}
			for _, d := range m.Directions {
				if d.Staff == 2 && d.Signs[0].Name == "dynamics" {
					feet[d.Onset] = d.Signs[0].Text
				}
			}
			for _, d := range m.Directions {
				if d.Staff != 1 || len(d.Signs) == 0 || d.Signs[0].Name != "dynamics" {
					continue
				}
				if want, _ := softer(feet[d.Onset], 1); d.Signs[0].Text != want {
					t.Errorf("measure %s: hands %s, feet %s", m.Number, d.Signs[0].Text, feet[d.Onset])
				}
			}
		}
	})
}

// TestRoot names chords by their definition: the kinds of the MusicXML 4.0
// kind-value table that the templates know, in every inversion.
func TestRoot(t *testing.T) {
	for _, c := range []struct {
		name  string
		tones []int // semitones above C
	}{
		{"major", []int{0, 4, 7}}, {"minor", []int{0, 3, 7}}, {"diminished", []int{0, 3, 6}},
		{"dominant", []int{0, 4, 7, 10}}, {"half-diminished", []int{0, 3, 6, 10}},
		{"major without fifth", []int{0, 4}}, {"minor without fifth", []int{0, 3}},
	} {
		for root := range 12 {
			var set classes
			for _, tone := range c.tones {
				set = set.with((root + tone) % 12)
			}
			for _, tone := range c.tones {
				bass := (root + tone) % 12
				if len(c.tones) == 2 && tone != 0 {
					continue
				}
				if got := rootOf(set, bass); got != root {
					t.Errorf("%s on %d over %d: root %d", c.name, root, bass, got)
				}
			}
		}
	}
}

// TestThin follows the published order ("Arranging for Carillon", lesson
// "Harmony"): doubled notes, then the fifth of a triad, the fifth of a seventh
// chord.
func TestThin(t *testing.T) {
	for _, c := range []struct {
		name       string
		keys       []int
		root, tune int
		want       []int
	}{
		{"a doubled root goes, the lower", []int{60, 64, 72}, 0, 7, []int{64, 72}},
		{"the fifth of a triad", []int{60, 64, 67}, 0, 2, []int{60, 64}},
		{"what the melody has", []int{60, 64, 67}, 0, 0, []int{64, 67}},
		{"the fifth, then the root of a seventh chord", []int{60, 64, 67, 70}, 0, 2, []int{64, 70}},
		{"two stay as they are", []int{60, 67}, 0, 7, []int{60, 67}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var strike []*Note
			for _, key := range c.keys {
				n := &Note{Keyboard: Manual}
				n.Pitch = score.Spell(key)
				strike = append(strike, n)
			}
			for len(strike) > 2 {
				i, _ := leastNeeded(strike, c.root, classes(0).with(c.tune))
				strike = append(strike[:i:i], strike[i+1:]...)
			}
			var got []int
			for _, n := range strike {
				got = append(got, n.Key())
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestOctaves: a phrase stays whole where an octave holds it, and moves
// elsewhere only at a breath.
func TestOctaves(t *testing.T) {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	pedals := octaveChoice{want: -1, fits: func(n *Note, octaves int) bool {
		return tower.Pedals.Has(n.Pitch.MIDI() + 12*octaves)
	}}
	for _, c := range []struct {
		name  string
		notes string // keys, "-" for a rest
		want  []int
	}{
		{"an octave down", "67 69 71", []int{-1, -1, -1}},
		{"a missing C sharp keeps the phrase up", "64 61 62", []int{0, 0, 0}},
		{"only the phrase that needs it", "67 69 71 72 71 69 - 61 62", []int{-1, -1, -1, -1, -1, -1, 0, 0}},
		{"too high for one octave down", "86 84", []int{-2, -2}},
		{"wider than the pedals breaks", "48 86", []int{0, -2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var line []*Note
			at := score.Time{}
			for _, word := range strings.Fields(c.notes) {
				if word != "-" {
					n := &Note{}
					var key int
					fmt.Sscan(word, &key)
					n.Pitch, n.Onset, n.Length = score.Spell(key), at, score.Quarter
					n.Pieces = []score.Piece{{Note: &score.Note{}}}
					line = append(line, n)
				}
				at = at.Add(score.Quarter)
			}
			pedals.choose(line)
			var got []int
			for _, n := range line {
				got = append(got, n.Octaves)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestBreakIsTold: where a phrase cannot stay in one octave, the report names
// the key that is really missing.
func TestBreakIsTold(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		a := arrange(t, s, Inverted, "place melody")
		for _, f := range a.report.Findings {
			_, name, named := strings.Cut(f.Text, "have no ")
			if !named {
				continue
			}
			for key := range a.Tower.Pedals.Keys() {
				if score.KeyName(key) == name {
					t.Errorf("%s: %s is there", f.Text, name)
				}
			}
		}
	})
}

// TestChordMarks: a chord shows an articulation or a fermata once.
func TestChordMarks(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		for _, v := range Voicings() {
			out, _, err := Voice(s, Options{Voicing: v})
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range out.Parts[0].Measures {
				seen := map[string]bool{}
				for _, n := range m.Notes {
					for _, k := range n.Marks {
						at := fmt.Sprint(n.Voice, n.Onset, k.Name)
						if (k.Group == "articulations" || k.Name == "fermata") && seen[at] {
							t.Errorf("measure %s: %s twice at %s", m.Number, k.Name, n.Onset)
						}
						seen[at] = true
					}
				}
			}
		}
	})
}

func TestMelodySeam(t *testing.T) {
	s := readScore(t, "../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml")
	line := FindMelody(s, s.Tones())
	if line.From != "the sung line of part Piano" || len(line.Tones) == 0 {
		t.Errorf("%d notes from %q", len(line.Tones), line.From)
	}
	tones := s.Tones()
	for i, index := range line.Tones {
		if n := tones[index].First(); n.Staff != 1 || n.Voice != 1 {
			t.Errorf("melody note %d is in voice %d of staff %d", i, n.Voice, n.Staff)
		}
	}
}
