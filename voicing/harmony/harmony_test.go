package harmony

import (
	"encoding/xml"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
)

// shared is a file beside the project; the test is skipped, loudly, without.
func shared(t *testing.T, path ...string) string {
	t.Helper()
	name := filepath.Join(append([]string{"..", "..", "..", "shared"}, path...)...)
	if _, err := os.Stat(name); err != nil {
		t.Skipf("SKIPPED: %s is not here", name)
	}
	return name
}

// TestKindsAreTheStandards holds the table to the text of the W3C's MusicXML
// 4.0 schema (kind-value): the same kinds in the same order, and made of what
// it says in brackets.
func TestKindsAreTheStandards(t *testing.T) {
	text, err := os.ReadFile(shared(t, "schema", "musicxml.xsd"))
	if err != nil {
		t.Fatal(err)
	}
	var schema struct {
		Types []struct {
			Name  string `xml:"name,attr"`
			Doc   string `xml:"annotation>documentation"`
			Enums []struct {
				Value string `xml:"value,attr"`
			} `xml:"restriction>enumeration"`
		} `xml:"simpleType"`
	}
	if err := xml.Unmarshal(text, &schema); err != nil {
		t.Fatal(err)
	}
	for _, typ := range schema.Types {
		if typ.Name != "kind-value" {
			continue
		}
		var want, got []string
		for _, e := range typ.Enums {
			want = append(want, e.Value)
		}
		for _, k := range kinds {
			got = append(got, k.name)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
		checkDefinitions(t, typ.Doc)
		return
	}
	t.Fatal("the schema has no kind-value")
}

var intervals = map[string]int{
	"minor third": 3, "major third": 4, "diminished fifth": 6, "perfect fifth": 7, "augmented fifth": 8,
	"minor seventh": 10, "major seventh": 11, "diminished seventh": 9, "added sixth": 9, "major ninth": 14,
	"perfect 11th": 17, "major 13th": 21, "major second": 2, "perfect fourth": 5,
}

// checkDefinitions reads lines such as "minor-sixth (minor triad, added sixth)".
func checkDefinitions(t *testing.T, doc string) {
	defined := map[string]Classes{}
	for line := range strings.SplitSeq(doc, "\n") {
		name, rest, ok := strings.Cut(strings.TrimSpace(line), " (")
		if !ok || strings.Contains(name, " ") || strings.HasSuffix(rest, ":") {
			continue
		}
		set := Classes(0).With(0)
		known := true
		for part := range strings.SplitSeq(strings.TrimSuffix(rest, ")"), ", ") {
			triad, isTriad := strings.CutSuffix(part, " triad")
			switch base := defined[cmpOr(triad, part)]; {
			case isTriad, base != 0:
				set |= base
			case intervals[part] != 0:
				set = set.With(intervals[part] % 12)
			default:
				known = false
			}
		}
		if known {
			defined[name] = set
			defined["dominant-seventh"] = defined["dominant"] // as the ninth calls it
			if got := ClassesOf(score.ChordSymbol{Kind: name}); got != set {
				t.Errorf("%s is %012b, the standard says %012b", name, got, set)
			}
		}
	}
	if len(defined) < 25 {
		t.Errorf("only %d definitions were read", len(defined))
	}
}

func cmpOr(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// TestDegrees follows the text of the schema (degree-alter): to alter or
// subtract is relative to the chord's own degree, to add to a dominant chord's.
func TestDegrees(t *testing.T) {
	for _, c := range []struct {
		kind    string
		degrees []score.Degree
		want    []int
		name    string
	}{
		{"dominant", []score.Degree{{Value: 9, Alter: score.Flat, Type: "add"}}, []int{0, 4, 7, 10, 13}, "C7(addb9)"},
		{"major", []score.Degree{{Value: 9, Type: "add"}}, []int{0, 4, 7, 14}, "C(add9)"},
		{"major", []score.Degree{{Value: 7, Type: "add"}}, []int{0, 4, 7, 10}, "C(add7)"},
		{"dominant", []score.Degree{{Value: 5, Alter: score.Sharp, Type: "alter"}}, []int{0, 4, 8, 10}, "C7(#5)"},
		{"minor", []score.Degree{{Value: 3, Alter: score.Sharp, Type: "alter"}}, []int{0, 4, 7}, "Cm(#3)"},
		{"dominant-13th", []score.Degree{{Value: 11, Type: "subtract"}}, []int{0, 4, 7, 10, 14, 21}, "C13(no11)"},
		{"other", []score.Degree{{Value: 4, Type: "add"}, {Value: 7, Type: "add"}}, []int{0, 5, 10}, "C other(add4)(add7)"},
		{"none", nil, nil, "–"},
		{"jazzy", nil, nil, "–"},
	} {
		chord := score.ChordSymbol{HasRoot: true, Kind: c.kind, Degrees: c.degrees}
		var got []int
		for _, tone := range Tones(chord) {
			got = append(got, tone.Semitones)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s %v: %s", c.kind, c.degrees, diff)
		}
		if Name(chord) != c.name {
			t.Errorf("%s %v is named %s", c.kind, c.degrees, Name(chord))
		}
	}
}

// TestIdentify names every kind of the standard again from its pitch classes,
// on every root and over every one of its tones.
func TestIdentify(t *testing.T) {
	for _, kind := range kinds {
		set := ClassesOf(score.ChordSymbol{Kind: kind.name})
		if set.Count() < 2 {
			continue // a root alone, and none
		}
		for root := range 12 {
			for _, tone := range kind.tones {
				bass := (root + tone.Semitones) % 12
				c, ok := Identify(set.up(root), bass, Key{})
				if !ok || ClassesOf(c) != set.up(root) || c.Root.Class() == bass == c.HasBass {
					t.Errorf("%s on %d over %d: %s", kind.name, root, bass, Name(c))
				}
				if tone.Semitones == 0 && c.Root.Class() != root {
					t.Errorf("%s on %d over its root is named %s", kind.name, root, Name(c))
				}
			}
		}
	}
}

// TestCorrelation: how the published profiles of keys correlate with that of C
// major (C. L. Krumhansl and E. J. Kessler, "Tracing the dynamic changes in
// perceived tonal organization", Psychological Review 89, 1982, the profiles
// read in second sources; Krumhansl 1990, ch. 2, for the correlations, from
// memory, to three places).
func TestCorrelation(t *testing.T) {
	major := [12]float64{6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88}
	minor := [12]float64{6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17}
	for _, c := range []struct {
		profile [12]float64
		tonic   int
		want    float64
	}{
		{major, 0, 1}, {major, 7, .591}, {major, 5, .591}, {minor, 9, .651}, {minor, 0, .511}, {minor, 4, .536},
	} {
		var turned [12]float64
		for i, x := range c.profile {
			turned[(i+c.tonic)%12] = x
		}
		x, y := deviationsOf(&turned), deviationsOf(&major)
		if got := x.correlation(&y); math.Abs(got-c.want) > .002 {
			t.Errorf("the key on %d correlates by %.3f, not %.3f", c.tonic, got, c.want)
		}
	}
}

// TestKeysTurnWithTheMusic: all 24 keys are found from their own profiles, and
// named by their tonics.
func TestKeysTurnWithTheMusic(t *testing.T) {
	majors := []string{"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"}
	minors := []string{"C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"}
	for mode, names := range [][]string{majors, minors} {
		for tonic, name := range names {
			var durations [12]float64
			for i := range durations {
				durations[(i+tonic)%12] = profiles[mode][i]
			}
			want := name + []string{" major", " minor"}[mode]
			if got := Keys(durations)[0]; got.String() != want || got.Correlation < .999 {
				t.Errorf("%s is found as %s", want, got)
			}
		}
	}
}

func TestSpell(t *testing.T) {
	for _, c := range []struct {
		key  Key
		want string
	}{
		{Key{}, "C C# D Eb E F F# G Ab A Bb B"},
		{Key{Fifths: 4}, "C C# D D# E E# F# G G# A A# B"},
		{Key{Fifths: -4}, "C Db D Eb Fb F Gb G Ab A Bb Cb"},
	} {
		var got []string
		for class := range 12 {
			got = append(got, letter(c.key.Spell(class)))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %s, not %s", c.key, s, c.want)
		}
	}
}

// withoutSymbols is s with no chord symbols. It is read again, since a score
// is never changed.
func withoutSymbols(t testing.TB, file string) *score.Score {
	s := scoretest.Score(t, file)
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			m.Chords = nil
		}
	}
	return s
}

const lamp = "../../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml"

// TestAgainstSymbols compares the harmony found in the notes alone with the
// chord symbols that scores have, by duration. The songs of the shared scores
// are melodies without any accompaniment, in which a chord can only be
// guessed; the example song has one.
func TestAgainstSymbols(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(shared(t, "scores"), "*.m*l"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range append(files, lamp) {
		with := scoretest.Score(t, file)
		key, next := FindKey(with, with.Tones())
		symbols := given(with, key.Key)
		if len(symbols) < 8 {
			continue
		}
		s := withoutSymbols(t, file)
		tones := s.Tones()
		var melody []int
		if len(s.Parts[0].Measures[0].Clefs) < 2 && len(s.Parts) == 1 && s.Parts[0].Staves < 2 {
			for i := range tones {
				melody = append(melody, i)
			}
		}
		a := agreement(symbols, Find(s, tones, melody))
		t.Logf("%-34s %-9s (%.2f; else %s) roots agree in %3.0f %% of the time, all classes in %3.0f %%",
			filepath.Base(file), key, key.Correlation, next, 100*a.roots, 100*a.classes)
		if file == lamp && (a.roots < 0.9 || a.classes < 0.7) {
			t.Errorf("of the example song roots agree in %.2f, classes in %.2f of the time", a.roots, a.classes)
		}
	}
}

// agree is for what share of the time chords agree.
type agree struct{ roots, classes float64 }

func agreement(want, got []Span) agree {
	var a agree
	all := 0.0
	for _, w := range want {
		for _, g := range got {
			from, to := score.Max(w.From, g.From), score.Min(w.To, g.To)
			if !from.Less(to) {
				continue
			}
			length := to.Sub(from).Quarters()
			all += length
			if g.Chord.HasRoot && w.Chord.Root.Class() == g.Chord.Root.Class() {
				a.roots += length
			}
			if ClassesOf(w.Chord) == ClassesOf(g.Chord) {
				a.classes += length
			}
		}
	}
	return agree{a.roots / all, a.classes / all}
}
