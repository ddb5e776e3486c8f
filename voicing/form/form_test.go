package form

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing/melody"
)

const song = "../../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml"

func sectionsOf(s *score.Score) []Section {
	tones := s.Tones()
	return Sections(s, tones, melody.Find(s, tones, melody.Options{}))
}

// String is the section's name with its measures counted from 1.
func (s Section) String() string { return fmt.Sprintf("%s (%d–%d)", s.Name, s.First+1, s.Last+1) }

// outline is each section's name, letter, kind and measures.
func outline(sections []Section) []string {
	var all []string
	for _, s := range sections {
		all = append(all, fmt.Sprintf("%s %s %s", s, s.Letter, s.Kind))
	}
	return all
}

func TestNamedSections(t *testing.T) {
	want := []string{
		"Intro (1–4) A intro", "Verse 1 (5–12) B verse", "Chorus (13–20) C chorus", "Verse 2 (21–28) B verse",
		"Chorus (29–36) C chorus", "Bridge (37–45) D bridge", "Last Chorus (46–56) C′ chorus", "Ending (57–60) E ending",
	}
	s := scoretest.Score(t, song)
	sections := sectionsOf(s)
	if diff := cmp.Diff(want, outline(sections)); diff != "" {
		t.Error(diff)
	}
	for what, want := range map[string]int{
		"chorus": 6, "last chorus": 6, "Refrain": 6, "Verse 2": 3, "verse": 3, "c": 4, "bridge": 5, "D": 5, "Brücke": 5,
	} {
		if found, ok := Last(sections, Passes(s, sections), what); !ok || found.Section != want {
			t.Errorf("last %q is section %d, %v", what, found.Section, ok)
		}
	}
	if found, ok := Last(sections, Passes(s, sections), "minuet"); ok {
		t.Errorf("section %d is called minuet", found.Section)
	}
}

// TestSectionsByReturns: without words and rehearsal marks, the same sections
// follow from double bars and from where the melody returns, and what returns
// with its words is the chorus.
func TestSectionsByReturns(t *testing.T) {
	s := scoretest.Score(t, song)
	for _, m := range s.Parts[0].Measures {
		m.Directions = nil
	}
	want := []string{
		"A (1–4) A ", "B (5–12) B ", "C (13–20) C chorus", "B (21–28) B ", "C (29–36) C chorus", "D (37–45) D ",
		"C′ (46–56) C′ chorus", "E (57–60) E ",
	}
	if diff := cmp.Diff(want, outline(sectionsOf(s))); diff != "" {
		t.Error(diff)
	}
}

// TestForms: tunes without any sign, a letter for each section; digits are
// scale degrees, "-" holds a note on, one sign to a quarter note, four to a
// measure. The real tunes are in the public domain, from memory.
func TestForms(t *testing.T) {
	phrase := map[string]string{
		"a": "1123 5-5- 6653 2--- 1123 5-5- 6542 1---",
		"b": "4446 5-3- 4446 5--- 6667 8-5- 4321 2---",
		"c": "8-7- 6-5- 6543 2-3- 8-7- 6-5- 4-2- 1---",
		"d": "3535 6666 5-3- 1-1- 3535 6666 7-6- 5---",
		"v": "1123 5-5- 6653 2--- 1123 5-5- 6644 1---", // a, varied
		"r": "1123 5-5- 6653 2--- 444- 6-66 7-7- 5--- 1123 5-5- 6653 8-6- 4-2- 1---",
		"w": "1123 5-5- 6653 2--- 444- 6-66 7-7- 5--- 1123 5-5- 4321 8-6- 4-2- 1---",
	}
	for _, c := range []struct{ name, tune, want string }{
		{"one section", "a", "A"},
		{"two that do not return are one", "a b", "A"},
		{"a a b a", "a a b a", "A A B A"},
		{"a b a", "a b a", "A B A"},
		{"a b a b", "a b a b", "A B A B"},
		{"a a b b", "a a b b", "A A B B"},
		{"a b a c a", "a b a c a", "A B A C A"},
		{"verse and chorus with a bridge", "a b a b c b", "A B A B C B"},
		{"a reprise with another end", "r", "A B A"},
		{"hardly a reprise", "w", "A"},
		{"a varied return", "a b v", "A B A"},
		{"a transposed return", "a b a+2", "A B A"},
		{"a verse twice as long", "a d b a d b c b", "A B A B C B"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var tune []string
			for name := range strings.FieldsSeq(c.tune) {
				name, up, _ := strings.Cut(name, "+")
				for measure := range strings.FieldsSeq(phrase[name]) {
					tune = append(tune, measure+up)
				}
			}
			var got []string
			for _, s := range sectionsOf(sketch(tune)) {
				got = append(got, strings.TrimSuffix(s.Letter, "′"))
			}
			if diff := cmp.Diff(c.want, strings.Join(got, " ")); diff != "" {
				t.Error(diff)
			}
		})
	}
	for _, c := range []struct{ name, tune, want string }{
		{"Ode to Joy", "3345 5432 1123 3-2- 3345 5432 1123 2-1- 2231 2341 2342 125- 3345 5432 1123 2-1-", "A A B A"},
		{"three short verses, each with the refrain", "1123 5-5- 6653 2--- 8-7- 6-5- 6543 1--- 4446 5-3- 4321 2--- 8-7- 6-5- 6543 1--- 3535 6666 5-3- 2--- 8-7- 6-5- 6543 1---", "A B C B D B"},
		{"two periods with one end", "1123 5-5- 6653 2--- 8-7- 6-5- 6543 1--- 4446 5-3- 4321 2--- 8-7- 6-5- 6543 1--- 3535 6666 5-3- 2--- 6767 5-5- 3-4- 1---", "A B C"},
		{"Au clair de la lune", "1112 3-2- 1322 1--- 1112 3-2- 1322 1--- 2222 6-6- 2176 5--- 1112 3-2- 1322 1---", "A A B A"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, s := range sectionsOf(sketch(strings.Fields(c.tune))) {
				got = append(got, strings.TrimSuffix(s.Letter, "′"))
			}
			if diff := cmp.Diff(c.want, strings.Join(got, " ")); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// sketch is a tune of measures of four signs each, with a fifth for how many
// steps up it all is.
func sketch(measures []string) *score.Score {
	scale := []int{0, 2, 4, 5, 7, 9, 11}
	p := &score.Part{ID: "P1", Staves: 1}
	for i, text := range measures {
		m := &score.Measure{Number: fmt.Sprint(i + 1), Length: score.Quarters(4)}
		up := 0
		if len(text) > 4 {
			fmt.Sscan(text[4:], &up)
		}
		for k, sign := range text[:4] {
			if sign == '0' {
				continue
			}
			if sign == '-' {
				n := &m.Notes[len(m.Notes)-1]
				n.Length = n.Length.Add(score.Quarter)
				continue
			}
			degree := int(sign - '1')
			m.Notes = append(m.Notes, score.Note{
				Staff: 1, Voice: 1, Onset: score.Quarters(int64(k)), Length: score.Quarter,
				Pitch: score.Spell(60 + up + 12*(degree/7) + scale[degree%7]),
			})
		}
		p.Measures = append(p.Measures, m)
	}
	p.Measures[0].Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}}}
	return &score.Score{Parts: []*score.Part{p}}
}

func TestHeadings(t *testing.T) {
	for text, want := range map[string]Kind{
		"Verse 1": Verse, "CHORUS": Chorus, "Refrain:": Chorus, "Last Chorus": Chorus, "(Bridge)": Bridge, "2. Strophe": Verse, "Verse Two": Verse, "1st Verse": Verse, "Verse-1": Verse, "III. Couplet": Verse,
		"Refrein": Chorus, "Ritornello": Chorus, "Estribillo": Chorus, "Kehrreim": Chorus, "Vorspiel": Intro, "Pre-Chorus": PreChorus,
		"refrain from shouting loudly": Other, "Refrain from it": Other, "Refrain quietly": Other, "Chorus x2": Chorus, "Fine": Other, "To Coda": Other, "Allegro": Other, "": Other, "Intro, freely": Other, "Finale 2": Ending, "Final repeat": Ending, "2e couplet": Verse, "1er couplet": Verse, "Refrängen": Chorus, "Andra versen": Verse, "2ª estrofa": Verse, "2a strofa": Verse, "2:a vers": Verse, "Final Chorus": Chorus, "coro finale": Chorus, "last 2": Other,
		"Omkväd": Chorus, "Refr.": Chorus, "2. Refr.": Chorus, "koor": Chorus, "Slotrefrein": Chorus, "Dernier refr.": Chorus, "Sidste omkvæd": Chorus, "Siste refreng": Chorus, "Último refrão": Chorus, "2. zwrotka": Verse, "rit.": Other,
	} {
		if got, _, _ := heading(text); got != want {
			t.Errorf("%q heads %q, not %q", text, got, want)
		}
	}
}

// TestHeadingOfTwoLines: a section has its name on one line.
func TestHeadingOfTwoLines(t *testing.T) {
	s := sketch([]string{"1234", "5432", "1234", "5111"})
	s.Parts[0].Measures[0].Directions = []score.Direction{{Signs: []score.Sign{{Name: "rehearsal", Text: "Last\n Chorus "}}}}
	if got := sectionsOf(s)[0].Name; got != "Last Chorus" {
		t.Errorf("the section is called %q", got)
	}
}

// TestSectionsCover: sections follow each other from the beginning to the end
// of every score, and the letters are those of sections with melody.
func TestSectionsCover(t *testing.T) {
	for _, file := range append(scoretest.Shared(t), song) {
		s := scoretest.Score(t, file)
		next, at := 0, score.Time{}
		for _, sec := range sectionsOf(s) {
			if sec.First != next || sec.Last < sec.First || sec.From != at || !sec.From.Less(sec.To) || sec.Name == "" || sec.Times < 1 {
				t.Errorf("%s: %s from %s to %s, %d times, after measure %d at %s", file, sec, sec.From, sec.To, sec.Times, next, at)
			}
			next, at = sec.Last+1, sec.To
		}
		if starts := s.Starts(); next != s.MeasureCount() || at != starts[len(starts)-1] {
			t.Errorf("%s: sections end after measure %d at %s", file, next, at)
		}
	}
}

// TestCalled: a printed mark is what it says, whatever letters the melodies
// have; a letter is only what nothing is printed with.
func TestCalled(t *testing.T) {
	if got, _ := Called([]Section{{Name: "Harbour"}, {Name: "Sailor's Song"}}, "sailor’s song"); !slices.Equal(got, []int{1}) {
		t.Errorf("Sailor's Song: %v", got)
	}
	sections := sectionsOf(marked(t, `(B) a (A) b (D) a (E) c`))
	for what, want := range map[string][]int{"A": {1}, "b": {0}, "D": {2}, "C": {3}, "F": nil} {
		if got, how := Called(sections, what); !slices.Equal(got, want) || how != "" {
			t.Errorf("%s: %v %q, not %v", what, got, how, want)
		}
	}
}

// TestNumber: sections are numbered in digits, in Roman numerals and in words.
func TestNumber(t *testing.T) {
	for name, want := range map[string]int{"Verse 2": 2, "Verse II": 2, "Second verse": 2, "2. Strophe": 2, "Verse Two": 2, "Verse": 0, "Last verse": 0, "Verse A": 0} {
		for n := range 4 {
			if got := Number(Section{Name: name}, n); got != (n > 0 && n == want) {
				t.Errorf("%s has number %d: %v", name, n, got)
			}
		}
	}
}

// TestBegins: sections begin where the user says, with the score's names where they stand
// there; what is before them is one too, unless it is a pickup.
func TestBegins(t *testing.T) {
	for _, c := range []struct {
		line   string
		begins []int
		want   string
	}{
		{"a b a c", []int{0, 16}, "A 1–16, A′ 17–32"},
		{"a b a c", []int{24, 16, 16}, "A 1–16, A′ 17–24, B 25–32"},
		{`"Verse" a "Chorus" b "Verse" a "Chorus" b`, []int{0, 16}, "Verse 1–16, Verse 17–32"},
		{"* a * a", []int{0, 4, 12, 16}, "Intro 1–4, A 5–12, Interlude 13–16, A 17–24"},
	} {
		s := marked(t, c.line)
		tones := s.Tones()
		var got []string
		for _, s := range Sections(s, tones, melody.Find(s, tones, melody.Options{}), c.begins...) {
			got = append(got, fmt.Sprintf("%s %d–%d", s.Name, s.First+1, s.Last+1))
		}
		if got := strings.Join(got, ", "); got != c.want {
			t.Errorf("%s, from %v: %s, want %s", c.line, c.begins, got, c.want)
		}
	}
}

// TestLastIsSung: a chorus in which the melody rests is not the last one.
func TestLastIsSung(t *testing.T) {
	s := marked(t, `"Verse" a "Chorus" b "Verse" a "Chorus" *`)
	sections := sectionsOf(s)
	if found, ok := Last(sections, Passes(s, sections), "chorus"); !ok || found.Section != 1 {
		t.Errorf("%v %v", found, ok)
	}
}
