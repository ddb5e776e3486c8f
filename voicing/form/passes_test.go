package form

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing/melody"
)

// phraseTunes are eight measures each, and four, that nobody takes for each other.
var phraseTunes = map[string]string{
	"a": "1123 5-5- 6653 2--- 1123 5-5- 6542 1---",
	"b": "4446 5-3- 4446 5--- 6667 8-5- 4321 2---",
	"c": "8-7- 6-5- 6543 2-3- 8-7- 6-5- 4-2- 1---",
	"v": "1123 5-5- 6653 2--- 1135 6-5- 4321 1---", // nearly a
	"i": "345- 654- 234- 5---",                     // four measures
}

// marked is a score of such tunes with signs: "|:" and ":|" around what is
// repeated, "Chorus" in quotes for a heading, "(A)" for a rehearsal mark, "*" for
// four measures of rest.
func marked(t *testing.T, line string) *score.Score {
	t.Helper()
	var measures []string
	type sign struct {
		at   int
		text string
	}
	var signs []sign
	for token := range strings.FieldsSeq(line) {
		switch {
		case token == "*":
			measures = append(measures, "0000", "0000", "0000", "0000")
		case phraseTunes[token] != "":
			measures = append(measures, strings.Fields(phraseTunes[token])...)
		default:
			signs = append(signs, sign{len(measures), token})
		}
	}
	s := sketch(measures)
	p := s.Parts[0]
	words := func(i int, name, text string) {
		p.Measures[i].Directions = append(p.Measures[i].Directions, score.Direction{
			Signs: []score.Sign{{Name: name, Text: strings.ReplaceAll(text, "_", " ")}},
		})
	}
	for _, x := range signs {
		switch {
		case x.text == "|:":
			p.Measures[x.at].Barlines = append(p.Measures[x.at].Barlines, score.Barline{Location: "left", Repeat: "forward"})
		case x.text == ":|":
			m := p.Measures[x.at-1]
			m.Barlines = append(m.Barlines, score.Barline{Location: "right", Repeat: "backward"})
		case x.text == "||":
			m := p.Measures[x.at-1]
			m.Barlines = append(m.Barlines, score.Barline{Location: "right", Style: "light-light"})
		case x.text[0] == '(':
			words(x.at, "rehearsal", strings.Trim(x.text, "()"))
		case x.text[0] == '>':
			m := p.Measures[x.at-1]
			m.Directions = append(m.Directions, score.Direction{
				Onset: m.Length, Signs: []score.Sign{{Name: "words", Text: strings.ReplaceAll(x.text[1:], "_", " ")}},
			})
		default:
			words(x.at, "words", strings.Trim(x.text, `"`))
		}
	}
	return s
}

// TestPasses: the order in which sections are played, and the last chorus in
// it.
func TestPasses(t *testing.T) {
	for _, c := range []struct{ name, line, order, last string }{
		{"as written", `"Verse" a "Chorus" b "Bridge" c "Chorus" b`, "Verse Chorus Bridge Chorus", "Chorus 1, 25–32"},
		{"repeated", `|: "Verse" a "Chorus" b :| "Bridge" c`, "Verse Chorus Verse Chorus Bridge", "Chorus 2, 9–16"},
		{"from the head", `"Chorus" b >Fine "Verse" a "Bridge" c >D.C._al_Fine`, "Chorus Verse Bridge Chorus", "Chorus 2, 1–8"},
		{"in other words", `"Refrain" b "1._Strophe" a "Kehrreim" b`, "Refrain 1. Strophe Kehrreim", "Kehrreim 1, 17–24"},
		{"by its melody", `a b a b c b`, "A B A B C B", "B 1, 41–48"},
		{"by repeats", `a || |: b :|`, "A B B", "B 2, 9–16"},
		{"nothing returns", `a || b || c`, "A B C", ""},
		{"a dance, each strain twice", `|: a :| |: b :|`, "A A B B", ""},
		{"a theme of two strains that is rounded", `|: a :| |: b a :|`, "A A B A B A", "A 2, 17–24"},
		{"a stanza of two alike and another", `a || a || b`, "A A B", ""},
		{"rehearsal marks", `(1) a (2) b (3) a`, "1 2 3", "3 1, 17–24"},
		{"numbers of measures are no marks", `a b (17) a (25) b`, "A B A B", "B 1, 25–32"},
		{"rests", `* a * b *`, "Intro A Interlude B Ending", ""},
		{"one heading", `* a "Chorus" b a b`, "Intro A Chorus A B", "B 1, 29–36"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := marked(t, c.line)
			sections := sectionsOf(s)
			passes := Passes(s, sections)
			var order []string
			for _, p := range passes {
				order = append(order, sections[p.Section].Name)
			}
			if got := strings.Join(order, " "); got != c.order {
				t.Errorf("played %s, want %s", got, c.order)
			}
			got := ""
			if found, ok := Last(sections, passes, "chorus"); ok {
				got = fmt.Sprintf("%s %d, %d–%d", sections[found.Section].Name, found.Nth, found.First+1, found.Last+1)
			}
			if got != c.last {
				t.Errorf("last chorus %q, want %q", got, c.last)
			}
		})
	}
}

// TestSomeHeadings: where not all sections have a heading, those that have none
// are told from double bars, from what is whole elsewhere and from what returns.
func TestSomeHeadings(t *testing.T) {
	for _, c := range []struct{ name, line, want, last string }{
		{"verses only, with double bars", `i || "Verse_1" a || b || "Verse_2" a || b || i || b`,
			"A Verse 1 C Verse 2 C A C", "C 41–48"},
		{"verses only", `"Intro" i "Verse_1" a b "Verse_2" a b i b`, "Intro Verse 1 C Verse 2 C A C", "C 41–48"},
		{"a low refrain", `"Verse_1" c || b || "Verse_2" c || b`, "Verse 1 B Verse 2 B", "B 25–32"},
		{"verses only, and a bridge", `"Verse_1" a b "Verse_2" a b c b`, "Verse 1 B Verse 2 B C B", "B 41–48"},
		{"a chorus in a language that is not known", `"Vers_1" a || "Kertosäe" b || "Vers_2" a || "Kertosäe" b || "Bro" c || "Kertosäe" b`,
			"Vers 1 B Vers 2 B Bro B", "B 41–48"},
		{"the first of each", `"Intro" i "Verse" a "Chorus" b a b c b`, "Intro Verse Chorus B C D C", "C 45–52"},
		{"choruses only", `a "Chorus" b a "Chorus" b`, "A Chorus A Chorus", "Chorus 25–32"},
		{"no heading over an interlude", `"Verse" a "Chorus" b * "Verse" a "Chorus" b *`, "Verse Chorus Interlude Verse Chorus Ending", "Chorus 29–36"},
		{"an introduction without melody", `"Intro" * a "Chorus" b a "Chorus" b`, "Intro A Chorus A Chorus", "Chorus 29–36"},
		// What is complete stays whole.
		{"verses of two halves", `"Verse_1" a a "Chorus" b c "Verse_2" a a "Chorus" b c`, "Verse 1 Chorus Verse 2 Chorus", "Chorus 49–64"},
		{"verse and chorus end alike", `"Verse_1" a b "Chorus" c b "Verse_2" a b "Chorus" c b`, "Verse 1 Chorus Verse 2 Chorus", "Chorus 49–64"},
		{"the last chorus twice", `"Verse_1" a "Chorus" b "Verse_2" a "Last_chorus" b b`, "Verse 1 Chorus Verse 2 Last chorus", "Last chorus 25–40"},
		{"an introduction that quotes the chorus", `"Intro" b "Verse_1" a "Chorus" c b "Verse_2" a "Chorus" c b`, "Intro Verse 1 Chorus Verse 2 Chorus", "Chorus 41–56"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := marked(t, c.line)
			sections := sectionsOf(s)
			var names []string
			for _, s := range sections {
				names = append(names, s.Name)
			}
			if got := strings.Join(names, " "); got != c.want {
				t.Errorf("sections %s, want %s", got, c.want)
			}
			got := ""
			if found, ok := Last(sections, Passes(s, sections), "chorus"); ok {
				got = fmt.Sprintf("%s %d–%d", sections[found.Section].Name, found.First+1, found.Last+1)
			}
			if got != c.last {
				t.Errorf("last chorus %q, want %q", got, c.last)
			}
			t.Log(outline(sections))
		})
	}
}

// TestLastSaysHow: a chorus that was guessed is told as a guess.
func TestLastSaysHow(t *testing.T) {
	for line, want := range map[string]string{
		`"Verse" a "Chorus" b "Verse" a`: "its heading",
		`a b a b c b`:                    "its melody returns",
		`|: a :|`:                        "no section is a chorus; A is played most often, 2 times",
	} {
		s := marked(t, line)
		sections := sectionsOf(s)
		if found, ok := Last(sections, Passes(s, sections), "chorus"); !ok || !strings.HasPrefix(found.How, want) {
			t.Errorf("%s: %q, want %q", line, found.How, want)
		}
	}
}

// Sections that are nearly alike are counted together, and told so.
func TestCalledLikeEachOther(t *testing.T) {
	sections := []Section{{Name: "A", Letter: "A", Times: 2}, {Name: "B", Letter: "B", Times: 1}, {Name: "A′", Letter: "A′", Times: 2, again: true}}
	want := "no section is a chorus; A and the like are played most often, 4 times"
	if of, how := Called(sections, "chorus"); len(of) != 2 || how != want {
		t.Errorf("%v, %q, want %q", of, how, want)
	}
}

// TestBeginningIsNoChorus: what a piece begins with returns in A B A, however low the
// middle lies; it is a chorus by its words only.
func TestBeginningIsNoChorus(t *testing.T) {
	for _, words := range []bool{false, true} {
		s := marked(t, `a b a`)
		for i, m := range s.Parts[0].Measures {
			for k := range m.Notes {
				n := &m.Notes[k]
				if i/8 == 1 {
					n.Pitch = score.Spell(n.Pitch.MIDI() - 24)
				}
				if words {
					n.Lyrics = []score.Lyric{{Verse: "1", Text: fmt.Sprint("la", i%16, k), Syllabic: "single"}}
				}
			}
		}
		want := map[bool]Kind{true: Chorus}[words]
		sections := sectionsOf(s)
		if got := outline(sections); len(sections) != 3 || sections[0].Kind != want || sections[2].Kind != want {
			t.Errorf("with words %v: %s", words, got)
		}
	}
}

// TestPrintedChorus: one line of words under a song of several verses is a
// chorus, sung to another tune or to theirs; a verse that is printed alone is not.
func TestPrintedChorus(t *testing.T) {
	for _, c := range []struct {
		line  string
		words []string // the verses under each eight measures
		want  []string
	}{
		{`|: a || b :|`, []string{"1 2", "1"}, []string{"A (1–8) A ", "B (9–16) B chorus"}},
		{`a || b`, []string{"1 2 3", "1"}, []string{"A (1–8) A ", "B (9–16) B chorus"}},
		{`a || v`, []string{"1 2 3", "1"}, []string{"A (1–8) A ", "A′ (9–16) A′ chorus"}},
		{`a || v`, []string{"1 2 3", "chorus"}, []string{"A (1–8) A ", "A′ (9–16) A′ chorus"}},
		{`a || v`, []string{"1 2 3", "4"}, []string{"A (1–8) A ", "A′ (9–16) A′ "}},
		{`a || v`, []string{"1 2 3", "1 2"}, []string{"A (1–8) A ", "A′ (9–16) A′ "}},
		{`|: a b :|`, []string{"1 2 3", "1"}, []string{"A (1–8) A ", "B (9–16) B chorus"}}, // no double bar
		{`a v`, []string{"1 2 3", "1"}, []string{"A (1–8) A ", "A′ (9–16) A′ chorus"}},
		{`a b a b`, []string{"1 2 3", "1", "1 2 3", "1"}, []string{"A (1–8) A ", "B (9–16) B chorus", "A (17–24) A ", "B (25–32) B chorus"}},
		{`"Verse" a b "Bridge" c`, []string{"1 2 3", "1", "1"}, []string{"Verse (1–8) A verse", "B (9–16) B chorus", "Bridge (17–24) C bridge"}},
		{`a || v`, []string{"1", "1"}, []string{"A (1–8) A ", "A′ (9–16) A′ "}},
		{`|: a :| v`, []string{"1 2", "1"}, []string{"A (1–8) A ", "A′ (9–16) A′ "}},
		{`a || b || c`, []string{"1", "1 2", ""}, []string{"A (1–8) A ", "B (9–16) B ", "C (17–24) C "}},
	} {
		s := marked(t, c.line)
		for i, m := range s.Parts[0].Measures {
			for k := range m.Notes {
				for verse := range strings.FieldsSeq(c.words[i/8]) {
					m.Notes[k].Lyrics = append(m.Notes[k].Lyrics, score.Lyric{Verse: verse, Text: fmt.Sprint("la", verse, i, k), Syllabic: "single"})
				}
			}
		}
		if diff := cmp.Diff(c.want, outline(sectionsOf(s))); diff != "" {
			t.Errorf("%s with %q: %s", c.line, c.words, diff)
		}
	}
}

// TestSectionsCutNoPhrase: a section begins with a phrase, in the shared
// scores too; what the score cuts is parted.
func TestSectionsCutNoPhrase(t *testing.T) {
	for _, file := range append(scoretest.Shared(t), song) {
		s := scoretest.Score(t, file)
		tones := s.Tones()
		line := melody.Find(s, tones, melody.Options{})
		sections := Sections(s, tones, line)
		next := 0
		for _, p := range Phrases(tones, line, sections) {
			first, last := tones[line.Tones[p.First]].Onset, tones[line.Tones[p.Last-1]].Onset
			for _, sec := range sections {
				if first.Less(sec.From) && !last.Less(sec.From) {
					t.Errorf("%s: %s begins at %s in a phrase from %s to %s", file, sec, sec.From, first, last)
				}
			}
			if p.First != next {
				t.Errorf("%s: a phrase begins with note %d, not %d", file, p.First, next)
			}
			next = p.Last
		}
		if next != len(line.Tones) {
			t.Errorf("%s: phrases cover %d of %d notes", file, next, len(line.Tones))
		}
	}
}

// TestWrittenOut: written out, the sections follow each other without gaps, each as
// often as it is played.
func TestWrittenOut(t *testing.T) {
	again := 0
	for _, file := range append(scoretest.Shared(t), song) {
		s := scoretest.Score(t, file)
		out, err := s.WrittenOut()
		if err != nil {
			t.Fatal(err)
		}
		sections := Sections(s, s.Tones(), melody.Find(s, s.Tones(), melody.Options{}))
		times := make([]int, len(sections))
		next, at := 0, score.Time{}
		for _, p := range WrittenOut(sections, s, out) {
			times[p.Of]++
			if p.First != next || p.From != at || p.Nth != times[p.Of] {
				t.Errorf("%s: %+v, after measure %d at %s", file, p, next-1, at)
			}
			if p.Nth > 1 {
				again++
			}
			next, at = p.Last+1, p.To
		}
		if next != out.MeasureCount() {
			t.Errorf("%s: sections go to measure %d of %d", file, next, out.MeasureCount())
		}
	}
	if t.Logf("%d sections are played again", again); again == 0 {
		t.Error("no section is played again")
	}
}

// A pass that goes on in the middle of its section has no pickup to the section.
func TestWrittenOutFromTheMiddle(t *testing.T) {
	whole := score.Quarters(4)
	p := &score.Part{ID: "P1", Staves: 1}
	for range 8 {
		p.Measures = append(p.Measures, &score.Measure{Length: whole})
	}
	p.Measures[6].Barlines = []score.Barline{{Location: "left", Repeat: "forward"}}
	p.Measures[7].Barlines = []score.Barline{{Location: "right", Repeat: "backward"}}
	s := &score.Score{Parts: []*score.Part{p}}
	out, err := s.WrittenOut()
	if err != nil {
		t.Fatal(err)
	}
	pickup := score.Quarters(15) // to measure 5
	sections := []Section{{First: 0, Last: 3, To: pickup}, {First: 4, Last: 7, From: pickup, To: score.Quarters(32)}}
	var from []string
	for _, p := range WrittenOut(sections, s, out) {
		from = append(from, p.From.String())
	}
	if diff := cmp.Diff([]string{"0", "15", "32"}, from); diff != "" {
		t.Errorf("passes from (-want +got):\n%s", diff)
	}
}
