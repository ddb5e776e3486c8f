package voicing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/melody"
	"undersong/voicing/playing"
)

// newArrangement takes every tone of s in hand, unplaced.
func newArrangement(s *score.Score, o Options) *arrangement {
	tones := s.Tones()
	a := arrangementOf(s, o, newFigures(o.Tower), tones, melody.Find(s, tones, melody.Options{Overrules: o.Melody}))
	a.findHarmony()
	return a
}

// arrange runs the passes of a voicing up to, and with, the one named.
func arrange(t *testing.T, s *score.Score, o Options, last string) *arrangement {
	t.Helper()
	o, err := o.withDefaults()
	if err != nil {
		t.Fatal(err)
	}
	a := newArrangement(s, o)
	for _, step := range steps {
		a.pass = step.name
		step.apply(a)
		if a.pass == last {
			return a
		}
	}
	t.Fatalf("no pass %q", last)
	return nil
}

// TestPassContract: a pass leaves every note placed on a key that is there,
// left out with a reason, or not yet placed; it records what it leaves out
// and moves; and it does the same again on the same score.
func TestPassContract(t *testing.T) {
	for _, v := range Voicings() {
		for _, step := range steps {
			t.Run(fmt.Sprint(v, " ", step.name), func(t *testing.T) {
				eachScore(t, func(t *testing.T, s *score.Score) {
					a := arrange(t, s, Options{Voicing: v}, step.name)
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
					for _, n := range a.notes {
						switch {
						case n.leftOut != "":
							want["left out"]++
						case n.seat != nowhere && !a.keys(n.seat).Has(n.key()):
							t.Errorf("%s at %s is on no key", n.placed(), n.Onset)
						}
						if n.seat != nowhere && n.octaves != 0 {
							want["moved"]++
						}
					}
					if diff := cmp.Diff(want, recorded); diff != "" {
						t.Errorf("changes that are not recorded (-made +recorded):\n%s", diff)
					}
					if diff := cmp.Diff(a.report.Changes, arrange(t, s, Options{Voicing: v}, step.name).report.Changes, cmpopts.IgnoreUnexported(Change{})); diff != "" {
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
	eachOutcome(t, func(t *testing.T, o *outcome) {
		if diff := cmp.Diff(o.doc.Score().Starts(), o.back.Starts(), cmp.Comparer(func(x, y score.Time) bool { return x == y })); diff != "" {
			t.Error(diff)
		}
		lead := leadPart(o.doc.Score())
		for i, m := range o.back.Parts[0].Measures {
			if want := lead.Measures[i].Number; m.Number != want {
				t.Errorf("measure %d is numbered %q, not %q", i+1, m.Number, want)
			}
		}
	})
}

// TestSound: a result is sound wherever its source is (score.Check).
func TestSound(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		if len(score.Check(o.doc.Score())) > 0 {
			t.Skip("the source itself is not")
		}
		for _, e := range score.Check(o.result) {
			t.Error(e)
		}
	})
}

// TestThinning follows the published order ("Arranging for Carillon", lesson
// "Harmony"): doubled notes, then the fifth of a triad, the fifth of a seventh
// chord.
func TestThinning(t *testing.T) {
	for _, c := range []struct {
		name string
		keys []int
		kind string // on C
		tune int
		want []int // the two pitch classes that stay longest
	}{
		{"a doubled root goes", []int{60, 64, 72}, "major", 7, []int{4, 0}},
		{"the fifth of a triad", []int{60, 64, 67}, "major", 2, []int{4, 0}},
		{"what the melody has", []int{60, 64, 67}, "major", 0, []int{4, 7}},
		{"the fifth, then the root of a seventh chord", []int{60, 64, 67, 70}, "dominant", 2, []int{4, 10}},
		{"two stay as they are", []int{60, 67}, "major", 7, []int{0, 7}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var strike []*note
			for _, key := range c.keys {
				n := &note{}
				n.Pitch = score.Spell(key)
				strike = append(strike, n)
			}
			var got []int
			for _, tone := range tonesOf(strike, score.ChordSymbol{HasRoot: true, Kind: c.kind}, harmony.Classes(0).With(c.tune))[:2] {
				got = append(got, tone.notes[0].Pitch.Class())
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestThinningOfEveryKind: from a strike of all tones of a chord with its root
// doubled, for every kind of MusicXML 4.0 that is a chord: what is doubled goes first,
// then the perfect fifth, of triads and of seventh chords; what is left of a large
// chord when four notes stay, or three, has third and seventh ("Arranging for
// Carillon", lesson "Harmony": the order, and "three or four notes").
func TestThinningOfEveryKind(t *testing.T) {
	const third, fifth, seventh = 3, 7, 10 // semitones, the third and seventh give or take one
	kinds := []struct {
		name  string
		tones []int // in semitones over the root, as MusicXML 4.0 defines the kind
	}{
		{"major", []int{0, 4, 7}}, {"minor", []int{0, 3, 7}}, {"augmented", []int{0, 4, 8}}, {"diminished", []int{0, 3, 6}},
		{"dominant", []int{0, 4, 7, 10}}, {"major-seventh", []int{0, 4, 7, 11}}, {"minor-seventh", []int{0, 3, 7, 10}},
		{"diminished-seventh", []int{0, 3, 6, 9}}, {"augmented-seventh", []int{0, 4, 8, 10}}, {"half-diminished", []int{0, 3, 6, 10}},
		{"major-minor", []int{0, 3, 7, 11}}, {"major-sixth", []int{0, 4, 7, 9}}, {"minor-sixth", []int{0, 3, 7, 9}},
		{"dominant-ninth", []int{0, 4, 7, 10, 2}}, {"major-ninth", []int{0, 4, 7, 11, 2}}, {"minor-ninth", []int{0, 3, 7, 10, 2}},
		{"dominant-11th", []int{0, 4, 7, 10, 2, 5}}, {"major-11th", []int{0, 4, 7, 11, 2, 5}}, {"minor-11th", []int{0, 3, 7, 10, 2, 5}},
		{"dominant-13th", []int{0, 4, 7, 10, 2, 5, 9}}, {"major-13th", []int{0, 4, 7, 11, 2, 5, 9}}, {"minor-13th", []int{0, 3, 7, 10, 2, 5, 9}},
		{"suspended-second", []int{0, 2, 7}}, {"suspended-fourth", []int{0, 5, 7}}, {"power", []int{0, 7}},
	}
	for _, kind := range kinds {
		var strike []*note
		for _, semitones := range append([]int{12}, kind.tones...) {
			n := &note{}
			n.Pitch = score.Spell(60 + semitones)
			strike = append(strike, n)
		}
		var left []int
		for _, tone := range tonesOf(strike, score.ChordSymbol{HasRoot: true, Kind: kind.name}, 0) {
			left = append(left, tone.notes[0].Pitch.Class())
			if doubles := len(tone.notes) - 1; doubles > 0 != (left[len(left)-1] == 0) {
				t.Errorf("%s: %d notes double %d", kind.name, doubles, left[len(left)-1])
			}
		}
		if len(left) != len(kind.tones) {
			t.Fatalf("%s: %v", kind.name, left)
		}
		if slices.Contains(kind.tones, fifth) && left[len(left)-1] != fifth {
			t.Errorf("%s: the fifth does not go first of %v", kind.name, left)
		}
		for _, stay := range []int{3, 4} {
			for _, tone := range kind.tones {
				guides := tone == third || tone == third+1 || len(kind.tones) > 3 && (tone == seventh || tone == seventh+1)
				if guides && !slices.Contains(left[:min(stay, len(left))], tone) {
					t.Errorf("%s: %d is not in the %d notes that stay of %v", kind.name, tone, stay, left)
				}
			}
		}
	}
}

// TestPlaceMelody: a phrase stays whole where an octave holds it, and moves
// elsewhere only at a breath.
func TestPlaceMelody(t *testing.T) {
	for _, c := range []struct {
		name  string
		notes string // keys, "-" for a rest
		want  []int
	}{
		{"an octave down", "67 69 71", []int{-1, -1, -1}},
		{"a missing C sharp keeps the phrase up", "64 61 62", []int{0, 0, 0}},
		{"only the phrase that needs it", strings.Repeat("67 69 71 72 71 69 ", 5) + "- - 61 62 61", append(slices.Repeat([]int{-1}, 30), 0, 0, 0)},
		{"a few notes do not leave the octave of the others", "67 69 71 - - 61 62 61 - - 67 69 71", []int{0, 0, 0, 0, 0, 0, 0, 0, 0}},
		{"too high for one octave down", "86 84", []int{-2, -2}},
		{"wider than the compass breaks", "36 98 36", []int{1, -1, 1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := &score.Measure{Number: "1"}
			var at score.Time
			for _, word := range strings.Fields(c.notes) {
				if word != "-" {
					var key int
					fmt.Sscan(word, &key)
					m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: at, Length: score.Quarter, Pitch: score.Spell(key)})
				}
				at = at.Add(score.Quarter)
			}
			m.Length = at
			a := arrange(t, &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}}, Options{Voicing: Inverted}, "place melody")
			var got []int
			for _, n := range a.notes {
				got = append(got, n.octaves)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestContour: within a phrase the melody's intervals are the source's, unless
// no seat and octave hold the phrase, which is then told.
func TestContour(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		a := arrange(t, o.doc.Score(), Options{Tower: o.tower, Voicing: o.voicing}, "place melody")
		for _, phrase := range a.phrases(a.melody()) {
			one := true
			for _, n := range phrase {
				one = one && n.octaves == phrase[0].octaves
			}
			held, _ := a.longest(phrase)
			if !one && held == len(phrase) {
				t.Errorf("the phrase from %s on is broken, though an octave holds it", phrase[0].Onset)
			}
		}
	})
}

// TestPhrasesOverJumps: a phrase has what each of its endings makes of it, and the pickup
// at the end of a repeat what it leads back to.
func TestPhrasesOverJumps(t *testing.T) {
	s := lampSong(t)
	m := s.Parts[0].Measures
	at := slices.IndexFunc(m[40].Barlines, func(b score.Barline) bool { return b.Ending.Type == "start" })
	m[41].Barlines = append(m[41].Barlines, m[40].Barlines[at]) // the first ending is measure 42 alone
	m[40].Barlines = slices.Delete(m[40].Barlines, at, at+1)
	a := arrange(t, s, Options{Voicing: Plain}, "place melody")
	for _, phrase := range a.phrases(a.melody()) {
		var in []string
		for _, n := range phrase {
			in = append(in, a.measureNumber(a.measureAt(n.Onset)))
		}
		if in = slices.Compact(in); in[0] == "41" || in[0] == "43" {
			if got := strings.Join(in, " "); got != "41 42 43 44" {
				t.Errorf("measures %s, want 41 and its endings, 42 and 43 44", got)
			}
		}
	}
}

// TestPhraseEnds: phrases end with notes of the tune, whatever is struck later by then.
func TestPhraseEnds(t *testing.T) {
	a := arrange(t, lampSong(t), Options{Voicing: Tenor}, "spread")
	if !slices.ContainsFunc(a.notes, func(n *note) bool { return n.late }) {
		t.Fatal("no note is struck later")
	}
	for n := range a.phraseEnds() {
		if n.role != tune {
			t.Errorf("a phrase ends with %s of the %s at %s", n.Pitch, n.does(), n.Onset)
		}
	}
}

// TestBreakIsTold: where a phrase cannot stay in one octave, the report names
// a key that is really missing.
func TestBreakIsTold(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		a := arrange(t, s, Options{Voicing: Inverted}, "place melody")
		for _, f := range a.report.Findings {
			_, name, named := strings.Cut(f.Text, "the pedals have no ")
			if !named {
				continue
			}
			for key := range a.tower.Pedals.Keys() {
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

// TestHelpingHand: where one hand cannot play the melody alone, the other one
// helps, and what it strikes just before and after makes room.
func TestHelpingHand(t *testing.T) {
	eighth := score.Quarter.Mul(1, 2)
	m := &score.Measure{Number: "1"}
	strike := func(staff, i int, keys ...int) {
		for _, key := range keys {
			m.Notes = append(m.Notes, score.Note{Staff: staff, Voice: staff, Onset: eighth.Mul(int64(i), 1), Length: eighth, Pitch: score.Spell(key)})
		}
	}
	for i, key := range []int{76, 83, 76, 88, 76, 83, 88, 76} { // the octave takes longer than an eighth
		strike(1, i, key)
		if i%2 == 0 {
			strike(2, i, 64, 67, 71)
		}
	}
	m.Length = eighth.Mul(8, 1)
	a := arrange(t, &score.Score{Parts: []*score.Part{{Staves: 2, Measures: []*score.Measure{m}}}}, Options{Voicing: Plain}, "settle")
	for _, p := range a.player.Assign(a.strokes(a.played())).Problems {
		if p.Reason != playing.Leap {
			t.Errorf("%s: %.2f, the limit is %.2f", p.Reason, p.Value, p.Limit)
		}
	}
	kept := 0
	for _, n := range a.played() {
		if n.role != tune {
			kept++
		}
	}
	if kept == 0 {
		t.Error("nothing is left of the accompaniment")
	}
}
