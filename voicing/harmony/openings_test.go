package harmony

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

// opening is one piece of testdata/openings.txt; testdata/README.md describes
// the notation.
type opening struct {
	title, key string
	sharps     int
	length     score.Time // of a measure
	notes      []score.Note
	tune       int    // the voice of the melody, 0 where none is marked
	chords     []Span // a chord without root where it is left open
}

func openings(t testing.TB) []*opening {
	t.Helper()
	text, err := os.ReadFile("testdata/openings.txt")
	if err != nil {
		t.Fatal(err)
	}
	var all []*opening
	for _, piece := range strings.Split(strings.TrimPrefix(string(text), "= "), "\n= ") {
		all = append(all, readOpening(t, piece))
	}
	return all
}

func readOpening(t testing.TB, text string) *opening {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	o := &opening{title: lines[0]}
	var length, tonic, mode string
	if _, err := fmt.Sscanf(lines[1], "in %s key %s %s sharps %d", &length, &tonic, &mode, &o.sharps); err != nil {
		t.Fatalf("%s: %q: %v", o.title, lines[1], err)
	}
	o.key, o.length = tonic+" "+mode, scoretest.Quarters(t, length)
	for voice, line := range lines[2:] {
		head, body, _ := strings.Cut(line, ":")
		staff, tune := strings.CutSuffix(head, " tune")
		if tune {
			o.tune = voice + 1
		}
		eachToken(t, body, func(token string, from, length score.Time) {
			if head == "chords" {
				o.chords = append(o.chords, Span{From: from, To: from.Add(length), Chord: readChord(t, token)})
				return
			}
			for _, name := range strings.Split(token, "+") {
				if name != "r" {
					n, _ := strconv.Atoi(staff)
					o.notes = append(o.notes, score.Note{Staff: n, Voice: voice + 1, Onset: from, Length: length, Pitch: scoretest.Pitch(t, name)})
				}
			}
		})
	}
	return o
}

var repeated = regexp.MustCompile(`\[([^\]]*)\]x(\d+)`)

// eachToken reads tokens such as "C4+E4=1/2", one after another in time.
func eachToken(t testing.TB, body string, f func(token string, from, length score.Time)) {
	body = repeated.ReplaceAllStringFunc(body, func(s string) string {
		m := repeated.FindStringSubmatch(s)
		n, _ := strconv.Atoi(m[2])
		return strings.Repeat(m[1]+" ", n)
	})
	at, length := score.Time{}, score.Quarter
	for token := range strings.FieldsSeq(body) {
		if token == "|" {
			continue
		}
		times := 1
		if what, x, ok := strings.Cut(token, "x"); ok {
			token = what
			times, _ = strconv.Atoi(x)
		}
		if what, l, ok := strings.Cut(token, "="); ok {
			token, length = what, scoretest.Quarters(t, l)
		}
		for range times {
			f(token, at, length)
			at = at.Add(length)
		}
	}
}

// readChord reads a name as [Name] writes it; "?" is no chord.
func readChord(t testing.TB, name string) score.ChordSymbol {
	t.Helper()
	c := score.ChordSymbol{Kind: "none"}
	if name == "?" {
		return c
	}
	name, bass, over := strings.Cut(name, "/")
	if over {
		c.HasBass, c.Bass = true, scoretest.Pitch(t, bass+"0")
	}
	n := 1
	for n < len(name) && (name[n] == '#' || name[n] == 'b') {
		n++
	}
	c.HasRoot, c.Root = true, scoretest.Pitch(t, name[:n]+"0")
	for i := range kinds {
		if kind := kinds[i].name; nameOf(kind) == name[n:] {
			c.Kind = kind
			return c
		}
	}
	t.Fatalf("no kind is named %q", name[n:])
	return c
}

// score is the opening as a piano score, moved by so many semitones, with its
// key signature or without.
func (o *opening) score(up int, signature bool) *score.Score {
	by := score.Interval(up)
	var end score.Time
	for _, n := range o.notes {
		end = score.Max(end, n.End())
	}
	p := &score.Part{ID: "P1", Name: "Piano", Staves: 2}
	for at := (score.Time{}); at.Less(end); at = at.Add(o.length) {
		m := &score.Measure{Number: strconv.Itoa(len(p.Measures) + 1), Length: o.length}
		for _, n := range o.notes {
			if !n.Onset.Less(at) && n.Onset.Less(at.Add(o.length)) {
				n.Onset = n.Onset.Sub(at)
				n.Pitch = n.Pitch.Transpose(by.Letters, by.Semitones)
				m.Notes = append(m.Notes, n)
			}
		}
		p.Measures = append(p.Measures, m)
	}
	first := p.Measures[0]
	first.Times = []score.TimeChange{{Time: meter(o.length)}}
	if signature {
		first.Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: o.sharps}}}
	}
	return &score.Score{Title: o.title, Parts: []*score.Part{p}}
}

// find is the harmony of the opening as s.
func (o *opening) find(s *score.Score) []Span {
	tones := s.Tones()
	var melody []int
	for i := range tones {
		if tones[i].First().Voice == o.tune {
			melody = append(melody, i)
		}
	}
	return Find(s, tones, melody)
}

// meter is in quarters, or in eighths where a measure has no whole number.
func meter(length score.Time) score.TimeSignature {
	g := score.BeatGroup{Beats: []int{int(length.Num())}, Unit: 4}
	if length.Den() == 2 {
		g.Unit = 8
	}
	return score.TimeSignature{Groups: []score.BeatGroup{g}}
}

// TestKeysOfOpenings: the keys of the openings are found, with their
// signatures and from the notes alone. Some of them leave their key early.
func TestKeysOfOpenings(t *testing.T) {
	signed, alone := 0, 0
	all := openings(t)
	for _, o := range all {
		with := o.score(0, true)
		if key, _ := FindKey(with, with.Tones()); key.String() == o.key {
			signed++
		} else {
			t.Logf("%s: found as %s, is in %s", o.title, key, o.key)
		}
		without := o.score(0, false)
		key, next := FindKey(without, without.Tones())
		if key.String() == o.key {
			alone++
		} else {
			t.Logf("%s: without its signature found as %s (%.2f; else %s %.2f), is in %s",
				o.title, key, key.Correlation, next, next.Correlation, o.key)
		}
	}
	t.Logf("of %d keys %d are found with signatures, %d without", len(all), signed, alone)
	if len(all) < 48 || signed < len(all)-1 || 10*alone < 9*len(all) {
		t.Errorf("too few keys are found")
	}
}

// TestChordsOfOpenings holds the chords found in the notes to those that the
// openings are known to have. The limits are ours: a little under what is
// found.
func TestChordsOfOpenings(t *testing.T) {
	var right, all rightness
	for _, o := range openings(t) {
		compare(t, o.title, o.find(o.score(0, true)), o.chords, &right, &all)
	}
	right.check(t, all, rightness{.97, .95, .97})
}

// compare adds up for how long the chords found are those wanted, and logs the
// others.
func compare(t *testing.T, title string, found, wanted []Span, right, all *rightness) {
	for _, got := range found {
		for _, want := range wanted {
			from, to := score.Max(want.From, got.From), score.Min(want.To, got.To)
			if !want.Chord.HasRoot || !from.Less(to) {
				continue
			}
			length := to.Sub(from).Quarters()
			right.add(length, got.Chord, want.Chord)
			all.add(length, want.Chord, want.Chord)
			if Name(got.Chord) != Name(want.Chord) {
				t.Logf("%s: quarter %s to %s is %s, found as %s (%.2f)", title, from, to, Name(want.Chord), Name(got.Chord), got.Fit)
			}
		}
	}
}

// check wants that at least such shares of all are right.
func (r *rightness) check(t *testing.T, all, least rightness) {
	t.Helper()
	t.Logf("of %.0f quarters the root is right in %.1f %%, all classes in %.1f %%, the bass in %.1f %%",
		all.root, 100*r.root/all.root, 100*r.classes/all.root, 100*r.bass/all.root)
	if r.root < least.root*all.root || r.classes < least.classes*all.root || r.bass < least.bass*all.root {
		t.Errorf("too few are right")
	}
}

// TestChordsOfMelodies does the same for the openings that the melody finder is
// tested on, with their tunes as marked. Their basses are not marked.
func TestChordsOfMelodies(t *testing.T) {
	var right, all rightness
	for _, o := range scoretest.Openings(t, "openings.txt") {
		var chords []Span
		eachToken(t, o.Marks["chords"], func(token string, from, length score.Time) {
			chords = append(chords, Span{From: from, To: from.Add(length), Chord: readChord(t, token)})
		})
		tones := o.Score.Tones()
		var melody []int
		for i := range tones {
			if o.Melody[tones[i].First()] {
				melody = append(melody, i)
			}
		}
		compare(t, o.Title, Find(o.Score, tones, melody), chords, &right, &all)
	}
	right.check(t, all, rightness{root: .96, classes: .93})
}

// rightness is for how many quarters what is found is right.
type rightness struct{ root, classes, bass float64 }

func (r *rightness) add(length float64, got, want score.ChordSymbol) {
	if got.Root.Class() == want.Root.Class() {
		r.root += length
	}
	if ClassesOf(got) == ClassesOf(want) {
		r.classes += length
	}
	if lowest(got) == lowest(want) {
		r.bass += length
	}
}

func lowest(c score.ChordSymbol) int {
	if c.HasBass {
		return c.Bass.Class()
	}
	return c.Root.Class()
}
