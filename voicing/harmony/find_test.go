package harmony

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
)

// chordScore is a score of one chord after another, a measure of four quarters
// each, from low to high.
func chordScore(chords ...[]int) *score.Score {
	p := &score.Part{ID: "P1", Staves: 1}
	for range chords {
		p.Measures = append(p.Measures, &score.Measure{Length: score.Whole})
	}
	p.Measures[0].Times = []score.TimeChange{{Time: meter(score.Whole)}}
	for i, chord := range chords {
		for _, midi := range chord {
			p.Measures[i].Notes = append(p.Measures[i].Notes, score.Note{
				Staff: 1, Voice: 1, Length: score.Whole, Pitch: score.Spell(midi),
			})
		}
	}
	return &score.Score{Parts: []*score.Part{p}}
}

// TestChordsNameThemselves: every kind that can be told from notes, on all
// roots, is found as itself over its root, and where it has four tones at most
// over each of its tones with its own pitch classes and bass. (Over another
// tone a ninth is taken for the seventh chord above it.) Chords of equal steps
// are named by their spelling, which is the test's own.
func TestChordsNameThemselves(t *testing.T) {
	for i := range kinds {
		if !kinds[i].sounding() || kinds[i].classes().Count() > 5 {
			continue
		}
		for root := range 12 {
			for inversion, low := range kinds[i].tones {
				if inversion > 0 && len(kinds[i].tones) > 4 {
					break
				}
				bass := 36 + (root+low.Semitones)%12
				chord := []int{bass}
				for k, tone := range kinds[i].tones {
					if k != inversion {
						chord = append(chord, 60+(root+tone.Semitones)%12)
					}
				}
				s := chordScore(chord)
				found := Find(s, s.Tones(), nil)
				if len(found) != 1 {
					t.Fatalf("%s on %d: %d spans", kinds[i].name, root, len(found))
				}
				c := found[0].Chord
				if ClassesOf(c) != kinds[i].classes().up(root) || lowest(c) != bass%12 {
					t.Errorf("%s on %d over %d is found as %s", kinds[i].name, root, bass%12, Name(c))
				}
				if inversion == 0 && kinds[i].equal() == 0 && (c.Kind != kinds[i].name || c.Root.Class() != root) {
					t.Errorf("%s on %d over its root is found as %s", kinds[i].name, root, Name(c))
				}
			}
		}
	}
}

// TestMovesWithTheMusic: the same opening on another note has the same chords
// on other notes, and so has its key.
func TestMovesWithTheMusic(t *testing.T) {
	for _, o := range openings(t) {
		s := o.score(0, false)
		tones := s.Tones()
		want := o.find(s)
		home, _ := FindKey(s, tones)
		for up := 1; up < 12; up++ {
			moved := o.score(up, false)
			tones := moved.Tones()
			key, _ := FindKey(moved, tones)
			if key.Tonic().Class() != (home.Tonic().Class()+up)%12 || key.Minor != home.Minor {
				t.Errorf("%s: %s, %d semitones higher %s", o.title, home, up, key)
			}
			got := o.find(moved)
			if !slices.EqualFunc(want, got, func(a, b Span) bool {
				return a.From == b.From && a.To == b.To && a.Chord.Kind == b.Chord.Kind &&
					(!a.Chord.HasRoot || (a.Chord.Root.Class()+up)%12 == b.Chord.Root.Class() && (lowest(a.Chord)+up)%12 == lowest(b.Chord))
			}) {
				t.Errorf("%s: other chords %d semitones higher:\n%s\n%s", o.title, up, names(want), names(got))
			}
		}
	}
}

// TestSpansCover: spans follow one another from the start to the end, the same
// each time.
func TestSpansCover(t *testing.T) {
	checkCover(t, lamp, scoretest.Score(t, lamp))
	checkCover(t, lamp, withoutSymbols(t, lamp))
	for _, o := range openings(t) {
		checkCover(t, o.title, o.score(0, true))
	}
}

func TestSpansCoverShared(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(shared(t, "scores"), "*.m*l"))
	if err != nil || len(files) == 0 {
		t.Fatal("no scores", err)
	}
	for _, file := range files {
		checkCover(t, file, scoretest.Score(t, file))
		checkCover(t, file, withoutSymbols(t, file))
	}
}

func checkCover(t *testing.T, title string, s *score.Score) {
	t.Helper()
	tones := s.Tones()
	found := Find(s, tones, nil)
	if diff := cmp.Diff(found, Find(s, tones, nil), cmp.AllowUnexported(score.Time{})); diff != "" {
		t.Errorf("%s: found otherwise again: %s", title, diff)
	}
	var at score.Time
	for _, span := range found {
		if span.From != at || !span.From.Less(span.To) || span.Fit < 0 || span.Fit > 1 {
			t.Fatalf("%s: a span from %s to %s after %s, fit %.2f", title, span.From, span.To, at, span.Fit)
		}
		at = span.To
	}
	starts := s.Starts()
	if end := starts[len(starts)-1]; at != end {
		t.Errorf("%s: spans end at %s, the piece at %s", title, at, end)
	}
}

// TestSignatureSaysMinor: a scale alone is the major key's, unless the
// signature says that it is a minor one's.
func TestSignatureSaysMinor(t *testing.T) {
	for mode, want := range map[string]string{"": "C major", "major": "C major", "minor": "A minor"} {
		s := chordScore([]int{64}, []int{60, 62, 64, 65, 67, 69, 71, 72, 74, 76}, []int{64})
		s.Parts[0].Measures[0].Keys = []score.KeyChange{{Key: score.KeySignature{Mode: mode}}}
		if key, _ := FindKey(s, s.Tones()); key.String() != want {
			t.Errorf("with mode %q: %s, want %s", mode, key, want)
		}
	}
}

// voices is a piece in the notation of testdata/README.md.
func voices(t testing.TB, measure, voices string) *opening {
	return readOpening(t, "test\nin "+measure+" key C major sharps 0\n"+voices)
}

func names(spans []Span) string {
	all := ""
	for _, s := range spans {
		all += " | " + s.From.String() + " " + Name(s.Chord)
	}
	return all[3:]
}

func TestFind(t *testing.T) {
	for _, c := range []struct{ what, measure, voices, want string }{
		{"tones that pass", "4",
			"1 tune: G4=1/2 A4 B4 C5 D5 E5 D5 C5 | B4 C5 D5 E5 F5 E5 D5 B4 | C5=4\n2: C3+E3+G3=4 | G2+D3+F3+B3 | C3+E3+G3", "0 C | 4 G7 | 8 C"},
		{"a bass and chords after it", "3", "2: C3=1 E3+G3 E3+G3 | G2 F3+B3 F3+B3 | C3 E3+G3 E3+G3", "0 C | 3 G7 | 6 C"},
		{"chords inside a beat", "4", "1: E4+G4+C5=1/2 F4+A4+C5 E4+G4+C5=1 D4+G4+B4=2 | E4+G4+C5=4\n2: C3=1/2 F3 C3=1 G3=2 | C3=4", "0 C | 1/2 F | 1 C | 2 G | 4 C"},
		{"a rest, in which bells ring on", "4", "1: r=4 | C4+E4+G4=1 r=3 | r=4 | F4+A4+C5=4", "0 – | 4 C | 12 F"},
		{"a suspended fourth", "4", "1: F4+G4+C5=2 E4+G4+C5=2 | D4+G4+B4=4\n2: C3=4 | G2", "0 Csus4 | 2 C | 4 G"},
		{"a ninth that is held", "4", "1: E4+G4+Bb4+D5=4 | F4+A4+C5\n2: C3=4 | F3", "0 C9 | 4 F"},
		{"a pedal point under changing chords", "4", "1: E4+G4+C5=4 | F4+A4+C5 | D4+F4+G4+B4 | E4+G4+C5\n2: C3=4x4", "0 C | 4 F/C | 8 G7 | 12 C"},
		{"a diminished seventh by its spelling", "4", "1: D4+F4+G#4=4 | C4+E4+A4\n2: B2=4 | A2", "0 G#dim7/B | 4 Am"},
		{"an augmented triad by its spelling", "4", "1: C4+E4+G#4=4 | C4+F4+A4\n2: C3=4 | F2", "0 C+ | 4 F"},
		{"a bass that passes on inside the beat", "3/2",
			"1 tune: A4=3/2 | G4 | F4\n1: F4=3/2 | C4+E4 | A4+C5\n2: D3=1 C3=1/2 | G3=1 E3=1/2 | F3=3/2", "0 Dm7 | 3/2 C/G | 3 F"},
		{"a bass after the beat", "3", "1: E4+G4=1 E4+G4 E4+G4 | F4+B4 F4+B4 F4+B4 | E4+G4+C5=3\n2: r=1/2 C3 r C3 r C3 | r G2 r G2 r G2 | C3=3", "0 C | 3 G7 | 6 C"},
		{"a cadence inside the beat of 3/8", "3/2",
			"1 tune: D5=3/4 C5=1/4 B4=1/4 G4 | B4=3/4 G4=1/4 A4=1/4 F#4 | G4=3/2\n" +
				"1: G4+B4=1/4 D4 G4+B4 D4 G4+B4 D4 | G4+B4 D4 G4+B4 D4 F#4+A4 C4 | B3+D4=3/2\n" +
				"2: G3=3/2 | D3=1 D3=1/2 | G2=3/2", "0 G | 3/2 G/D | 5/2 D7 | 3 G"},
		{"a bass that leaps inside the beat of 3/8", "3/2",
			"1: B3=1/4 D4+G4 B3 D4+G4 C4 A3 | B3+D4=3/2\n2: G3=1 D3=1/2 | G2=3/2", "0 G"},
		{"a note that passes makes no diminished fifth", "2", "1: C5+Eb5=2 | F4+G4=1 F4+B4 | Eb4+C5=2\n2: C3=2 | G2=1/2 C#3 D3 G2 | C3=2", "0 Cm | 2 G7 | 4 Cm"},
		{"a diminished triad over its third", "2", "1 tune: G4=1 B4 | F#4=3/2 G4=1/2 | F#4=1 D#5 | E5=2\n" +
			"2: E3=1/4 G3 B3 E4 B3 G3 E3 G3 | A2 A3 C4 F#4 C4 A3 A2 A3 | B2 F#3 A3 D#4 A3 F#3 B2 F#3 | E3 G3 B3 E4 B3 G3 E3 G3", "0 Em | 2 F#dim/A | 4 B7 | 6 Em"},
		{"an inner part that steps on from a triad", "2", "1 tune: A4=1 B4 | A4=2\n1: D4=1/2 C#4 D4=1 | C#4=2\n2: A3=1 G3 | E3=2\n2: F#3=1 G3=1 | A2=2", "0 D/F# | 1 G | 2 A"},
		{"parts that step on from a triad", "2", "1 tune: G4=1 A4 | G4=2\n1: E4=1/2 D4 F4=1 | E4=2\n2: C4=1 C4 | C4=2\n2: G3=1/2 A3 F3=1 | C3=2", "0 C/G | 1 F | 2 C"},
		{"a bass that leaps from a triad", "2", "1 tune: G4=1 F4 | E4=2\n1: E4=1 D4 | C4=2\n2: C4=1 B3 | G3=2\n2: C3=1/2 A2 G2=1 | C3=2", "0 Am7 | 1 G7 | 2 C"},
		{"a triad whose root is the melody's alone", "2", "1 tune: C5=1/2 B4 A4=1 | G4=2\n1: G4=1 F#4 | D4=2\n2: E4=1/2 D4 C4=1 | B3=2\n2: E3=1 D3 | G2=2", "0 Em7 | 1 D7 | 2 G"},
		{"two triads in a beat, a note of them held", "2", "1 tune: A4=1 B4 | A4=2\n1: D4=1/2 E4 D4=1 | E4=2\n2: A3=1/2 C#4 D4=1 | C#4=2\n2: F#3=1/2 E3 G3=1 | A2=2",
			"0 D/F# | 1/2 A/E | 1 G | 2 A"},
		{"one root, another bass", "4", "1: E4+G4+C5=2x2 | E4+G4+C5=4\n2: C3=2 E3 | G3=4", "0 C | 2 C/E | 4 C/G"},
	} {
		o := voices(t, c.measure, c.voices)
		s := o.score(0, false)
		if got := names(o.find(s)); got != c.want {
			t.Errorf("%s: %s\nnot %s", c.what, got, c.want)
		}
	}
}

// TestLocalKeys: cadences in one key, then in another, and back.
func TestLocalKeys(t *testing.T) {
	cadence := func(tonic int) (measures [][]int) {
		for _, chord := range [][]int{{0, 4, 7}, {5, 9, 12}, {7, 11, 14, 17}, {0, 4, 7}} {
			var c []int
			for _, n := range chord {
				c = append(c, 48+tonic+n)
			}
			measures = append(measures, c)
		}
		return measures
	}
	var all [][]int
	for _, tonic := range []int{0, 0, 7, 7, 3, 3, 0, 0} {
		all = append(all, cadence(tonic)...)
	}
	s := chordScore(all...)
	want := []KeySpan{{Key: Key{}}, {score.Quarters(32), score.Time{}, Key{Fifths: 1}}, {score.Quarters(64), score.Time{}, Key{Fifths: -3}}, {score.Quarters(96), score.Time{}, Key{}}}
	got := LocalKeys(s, s.Tones(), nil, Key{})
	if !slices.EqualFunc(got, want, func(a, b KeySpan) bool {
		late := a.From.Sub(b.From).Quarters() // the first two chords may be of both keys
		return a.Key == b.Key && -4 <= late && late <= 8
	}) {
		t.Errorf("%v, not %v", got, want)
	}
	whole := chordScore(cadence(7)...)
	if got := LocalKeys(whole, whole.Tones(), nil, Key{}); len(got) != 1 || got[0].Key != (Key{}) {
		t.Errorf("a piece in one key, that of C, goes through %v", got)
	}
	if LocalKeys(&score.Score{}, nil, nil, Key{}) != nil {
		t.Error("an empty score has a key")
	}
}

// TestLocalKeysOfTunes: a tune in minor that ends on the major third stays in its
// key, a section in major is one, and chord symbols tell what the tune does not.
func TestLocalKeysOfTunes(t *testing.T) {
	minor := "C5=2 B4=1 | A4=1 B4 C5 | D5=2 E5=1 | B4=3 | C5=1 D5 E5 | D5=2 C5=1 | B4=1 A4 G#4"
	few := "C5=1 A4 E4 | A4=3 | C5=1 B4 A4 | E4=3 | E4 | G4=2 E4=1 | B4=3 | E4"
	for _, c := range []struct{ what, tune, chords, want string }{
		{"in minor to the end", minor + " | A4=3", "", "A minor"},
		{"ends in major", minor + " | A4=1 G#4 A4 | D5=2 B4=1 | C#5=3 | C#5=3", "", "A minor"},
		{"goes on in major", minor + " | A4=1 C#5 E5 | F#5=1 E5 D5 | C#5=1 A4 B4 | C#5=1 D5 B4 | C#5=1 B4 G#4 | A4=3 | A4", "", "A minor, A major"},
		{"few notes", few, "", "A minor, E minor"},
		{"the same with symbols", few, "Am Am Am Am C G7 G7 C", "A minor, C major"},
	} {
		o := voices(t, "3", "1 tune: "+c.tune)
		s := o.score(0, false)
		for i, name := range strings.Fields(c.chords) {
			s.Parts[0].Measures[i].Chords = []score.ChordSymbol{readChord(t, name)}
		}
		var got []string
		for _, k := range LocalKeys(s, s.Tones(), o.find(s), Key{Minor: true}) {
			got = append(got, k.Key.String())
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("%s: %s, not %s", c.what, strings.Join(got, ", "), c.want)
		}
	}
}

// TestNothing: scores with little or nothing in them.
func TestNothing(t *testing.T) {
	if found := Find(&score.Score{}, nil, nil); len(found) != 0 {
		t.Errorf("an empty score has %s", names(found))
	}
	silent := chordScore(nil, nil)
	if got := names(Find(silent, silent.Tones(), nil)); got != "0 –" {
		t.Errorf("silence is %s", got)
	}
	if key, _ := FindKey(silent, nil); key.String() != "C major" {
		t.Errorf("silence is in %s", key)
	}
	unmeasured := chordScore([]int{48, 52, 55}, []int{50, 53, 57})
	unmeasured.Parts[0].Measures[0].Times = nil
	if got := names(Find(unmeasured, unmeasured.Tones(), nil)); got != "0 C | 4 Dm" {
		t.Errorf("without time signature %s", got)
	}
}
