package score_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"undersong/score"
	"undersong/score/musicxml"
	"undersong/score/scoretest"
)

// same compares scores: times exactly, empty and nil slices alike.
var same = cmp.Options{cmp.Comparer(func(a, b score.Time) bool { return a == b }), cmpopts.EquateEmpty()}

func writtenOut(t testing.TB, s *score.Score) *score.Score {
	t.Helper()
	w, err := s.WrittenOut()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

var again = regexp.MustCompile(`([0-9])[a-z]$`)

// TestWrittenOutForms: written out, every form is a score without fault that
// is played from start to end and has the pitches of the order.
func TestWrittenOutForms(t *testing.T) {
	for file, want := range forms(t) {
		t.Run(file, func(t *testing.T) {
			s := scoretest.Score(t, filepath.Join(formsDir, file))
			before := fmt.Sprintf("%+v", *s.Parts[0].Measures[0])
			order, err := s.Performance()
			if err != nil {
				t.Fatal(err)
			}
			w := writtenOut(t, s)
			for _, err := range score.Check(w) {
				t.Error(err)
			}
			var got []string
			for i, m := range w.Parts[0].Measures {
				got = append(got, again.ReplaceAllString(m.Number, "$1"))
				if was := s.Parts[0].Measures[order[i].Measure]; was.Notes[0].Pitch != m.Notes[0].Pitch || was.Length != m.Length {
					t.Errorf("measure %s is not the one that is played", m.Number)
				}
			}
			if strings.Join(got, " ") != want {
				t.Errorf("measures %v, want %s", got, want)
			}
			isPlain(t, w)
			if after := fmt.Sprintf("%+v", *s.Parts[0].Measures[0]); after != before {
				t.Errorf("the score that was read changed:\n%s\n%s", before, after)
			}
		})
	}
}

// isPlain wants a score that is played as it is written and stays so.
func isPlain(t *testing.T, w *score.Score) {
	t.Helper()
	order, err := w.Performance()
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range order {
		if p.Measure != i || p.Nth != 1 {
			t.Fatalf("written out, it is not played straight: %v", order)
		}
	}
	twice := writtenOut(t, w)
	for i, p := range w.Parts {
		for j, m := range p.Measures {
			if twice.Parts[i].Measures[j] != m {
				t.Errorf("written out again, measure %s is a new one: %s", m.Number, cmp.Diff(m, twice.Parts[i].Measures[j], same))
			}
		}
	}
}

func TestWrittenOutRealScores(t *testing.T) {
	for _, file := range scoretest.Shared(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			s := scoretest.Score(t, file)
			w := writtenOut(t, s)
			for _, err := range score.Check(w) {
				t.Error(err)
			}
			isPlain(t, w)
			t.Logf("%d measures, %d written out, %d tones, %d written out",
				s.MeasureCount(), w.MeasureCount(), len(s.Tones()), len(w.Tones()))
		})
	}
}

func TestWrittenOutNumbers(t *testing.T) {
	for _, test := range []struct{ sketch, want string }{
		{"|: 1 :|3 2", "1 1b 1c 2"},
		{"|: 12a X1 :|", "12a X1 12a-2 X1b"},
		{"|: 1 :| 1b", "1 1-2 1b"},
		{"|: 1 :|28", "1 1b 1c 1d 1e 1f 1g 1h 1i 1j 1k 1l 1m 1n 1o 1p 1q 1r 1s 1t 1u 1v 1w 1x 1y 1z 1aa 1ab"},
	} {
		if got := measureNumbers(writtenOut(t, sketch(t, test.sketch))); got != test.want {
			t.Errorf("%s: numbers %s, want %s", test.sketch, got, test.want)
		}
	}
	blank := sketch(t, "|: 1 :|")
	blank.Parts[0].Measures[0].Number = ""
	if got := measureNumbers(writtenOut(t, blank)); got != " " {
		t.Errorf("a measure without number is numbered %q", got)
	}
	if got := writtenOut(t, &score.Score{}); len(got.Parts) != 0 {
		t.Errorf("no score gives %v", got)
	}
}

func TestWrittenOutKeepsMeasures(t *testing.T) {
	s := sketch(t, "1 2 |: 3 :| 4")
	w := writtenOut(t, s)
	for _, number := range []string{"1", "2", "4"} {
		if measure(t, w, number) != measure(t, s, number) {
			t.Errorf("measure %s is a new one though nothing in it changed", number)
		}
	}
	b := measure(t, w, "3b")
	if b == measure(t, s, "3") || b.Notes[0].Source != measure(t, s, "3").Notes[0].Source {
		t.Error("the second time of measure 3 must be a new measure with the same sources")
	}
}

func TestWrittenOutSharesNothing(t *testing.T) {
	s := sketch(t, "|: 1 2 :|")
	full, other := s.Parts[0].Measures[0], s.Parts[0].Measures[1]
	other.Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: 2}}} // so that the second time states its own
	other.Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{8}, Unit: 8}}}}}
	other.Clefs = []score.ClefChange{{Staff: 1, Clef: score.Bass}}
	other.Transposes = []score.TransposeChange{{Transposition: score.Interval(12)}}
	full.Notes[0].Marks = []score.Mark{{Name: "staccato"}}
	full.Notes[0].Lyrics = []score.Lyric{{Verse: "1", Text: "la"}}
	full.Directions = []score.Direction{direction(score.Time{}, "dynamics", "mf")}
	full.Chords = []score.ChordSymbol{{Degrees: []score.Degree{{Value: 5}}}}
	full.Keys = []score.KeyChange{{}}
	full.Clefs = []score.ClefChange{{Staff: 1, Clef: score.Treble}}
	full.Transposes = []score.TransposeChange{{}}
	full.Others = []score.Other{{Name: "print"}, {Name: "figured-bass"}}
	w := writtenOut(t, s)
	first, second := w.Parts[0].Measures[0], w.Parts[0].Measures[2]
	if len(second.Others) != 1 || len(first.Others) != 2 {
		t.Errorf("layout hints: %v, then %v", first.Others, second.Others)
	}
	second.Notes[0].Marks[0].Name = "x"
	second.Notes[0].Lyrics[0].Text = "x"
	second.Directions[0].Signs[0].Text = "x"
	second.Chords[0].Degrees[0].Value = 1
	second.Times[0].Time.Groups[0].Beats[0] = 1
	second.Keys[0].Key.Fifths = 1
	second.Clefs[0].Clef = score.Bass
	second.Transposes[0].Letters = 1
	second.Others[0].Name = "x"
	for _, m := range []*score.Measure{first, full} {
		if m.Notes[0].Marks[0].Name == "x" || m.Notes[0].Lyrics[0].Text == "x" || m.Directions[0].Signs[0].Text == "x" ||
			m.Chords[0].Degrees[0].Value == 1 || m.Times[0].Time.Groups[0].Beats[0] == 1 || m.Keys[0].Key.Fifths == 1 ||
			m.Clefs[0].Clef == score.Bass || m.Transposes[0].Letters == 1 || m.Others[1].Name == "x" {
			t.Errorf("a change of the second time reached another measure: %+v", m)
		}
	}
}

// TestWrittenOutStatesOnce: what a measure begins with and what holds already is not
// stated again the second time.
func TestWrittenOutStatesOnce(t *testing.T) {
	s := sketch(t, "|: 1 2 :|")
	first := s.Parts[0].Measures[0]
	first.Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: 1}}}
	first.Clefs = []score.ClefChange{{Staff: 1, Clef: score.Bass}}
	w := writtenOut(t, s)
	if m := w.Parts[0].Measures[0]; len(m.Keys) != 1 || len(m.Times) != 1 || len(m.Clefs) != 1 {
		t.Errorf("the first time states %v %v %v", m.Keys, m.Times, m.Clefs)
	}
	if m := w.Parts[0].Measures[2]; len(m.Keys)+len(m.Times)+len(m.Clefs) != 0 {
		t.Errorf("the second time states %v %v %v again", m.Keys, m.Times, m.Clefs)
	}
}

func TestWrittenOutLyrics(t *testing.T) {
	for _, test := range []struct {
		name   string
		sketch string
		verses string // of measure 1
		want   []string
	}{
		{"a verse a time", "|: 1 :|", "1 2", []string{"1", "2"}},
		{"a single verse", "|: 1 :|3", "1", []string{"1", "1", "1"}},
		{"more times than verses", "|: 1 :|3", "1 2", []string{"1", "2", "2"}},
		{"more verses than times", "|: 1 :|", "1 2 3", []string{"1", "2"}},
		{"a verse that comes later", "|: 1 :|", "2", []string{"", "2"}},
		{"a name", "|: 1 :|", "1 2 chorus", []string{"1 chorus", "2 chorus"}},
		{"once", "1", "1 2 3", []string{"1 2 3"}},
		{"none", "|: 1 :|", "", []string{"", ""}},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := sketch(t, test.sketch)
			for verse := range strings.FieldsSeq(test.verses) {
				n := &s.Parts[0].Measures[0].Notes[0]
				n.Lyrics = append(n.Lyrics, score.Lyric{Verse: verse, Text: verse})
			}
			var got []string
			for _, m := range writtenOut(t, s).Parts[0].Measures {
				var verses []string
				for _, y := range m.Notes[0].Lyrics {
					verses = append(verses, y.Text)
					if n, err := strconv.Atoi(y.Verse); err == nil && n > 1 && strings.HasPrefix(test.sketch, "|:") {
						t.Errorf("the verse of a time of its own has the number %d", n)
					}
				}
				got = append(got, strings.Join(verses, " "))
			}
			if diff := cmp.Diff(test.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestWrittenOutVerseOfAnEnding: the only verse of an ending is the one of its
// time, on the line of what came before; of an ending with two both stay.
func TestWrittenOutVerseOfAnEnding(t *testing.T) {
	for verses, want := range map[string]string{"2": "1", "2 3": "2 3", "3": "3"} {
		s := sketch(t, "|: 1 [1 2 :| ] [2 3 ]")
		n := &s.Parts[0].Measures[2].Notes[0]
		for verse := range strings.FieldsSeq(verses) {
			n.Lyrics = append(n.Lyrics, score.Lyric{Verse: verse, Text: "la"})
		}
		var got []string
		for _, y := range writtenOut(t, s).Parts[0].Measures[3].Notes[0].Lyrics {
			got = append(got, y.Verse)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("verses %s: %v, want %s", verses, got, want)
		}
	}
}

// TestWrittenOutRefrain: every time sings the words that stand alone next to those of a
// refrain, whole words only.
func TestWrittenOutRefrain(t *testing.T) {
	s := sketch(t, "|: 1 2 3 :|")
	syllable := func(verse, text string) score.Lyric {
		y := score.Lyric{Verse: verse, Text: strings.Trim(text, "-"), Syllabic: "single"}
		switch before, after := strings.HasPrefix(text, "-"), strings.HasSuffix(text, "-"); {
		case before && after:
			y.Syllabic = "middle"
		case before:
			y.Syllabic = "end"
		case after:
			y.Syllabic = "begin"
		}
		return y
	}
	for i, words := range [][2]string{{"ding dong o- -ver a-", "bing bong"}, {"-way a- -way so", ""}, {"say so one long- -er", ". . two long"}} {
		m := s.Parts[0].Measures[i]
		all := strings.Fields(words[0])
		first := m.Notes[0]
		m.Notes = nil
		for k := range all {
			n := first
			n.Onset, n.Length = m.Length.Mul(int64(k), int64(len(all))), m.Length.Mul(1, int64(len(all)))
			for v, text := range words {
				if sung := strings.Fields(text); k < len(sung) && sung[k] != "." {
					n.Lyrics = append(n.Lyrics, syllable(strconv.Itoa(v+1), sung[k]))
				}
			}
			m.Notes = append(m.Notes, n)
		}
	}
	var got []string
	for _, m := range writtenOut(t, s).Parts[0].Measures {
		text := m.Number + ":"
		for _, n := range m.Notes {
			for _, y := range n.Lyrics {
				text += " " + y.Verse + y.Text
			}
		}
		got = append(got, text)
	}
	want := []string{"1: 1ding 1dong 1o 1ver 1a", "2: 1way 1a 1way 1so", "3: 1say 1so 1one 1long 1er",
		"1b: 1bing 1bong 1o 1ver 1a", "2b: 1way 1a 1way 1so", "3b: 1say 1so 1two 1long"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// TestWrittenOutFirstEnding: an ending that has verse 1 alone is no refrain, as it is played once.
func TestWrittenOutFirstEnding(t *testing.T) {
	s := sketch(t, "|: 1 [1 2 :| ] [2 3 ]")
	m := s.Parts[0].Measures
	first := m[0].Notes[0]
	second := first
	first.Length, second.Onset, second.Length = score.Frac(1, 2), score.Frac(1, 2), score.Frac(1, 2)
	first.Lyrics = []score.Lyric{{Verse: "1", Text: "now"}, {Verse: "2", Text: "then"}}
	second.Lyrics = []score.Lyric{{Verse: "1", Text: "sing"}}
	m[0].Notes = []score.Note{first, second}
	m[1].Notes[0].Lyrics = []score.Lyric{{Verse: "1", Text: "on"}}
	if got := words(writtenOut(t, s)); got != "1: now sing 2: on 1b: then 3:" {
		t.Error(got)
	}
}

// TestWrittenOutRefrainEnds: a refrain ends where the next syllables are, though its last note is
// held over them in another voice.
func TestWrittenOutRefrainEnds(t *testing.T) {
	s := sketch(t, "|: 1 2 :|")
	m := s.Parts[0].Measures
	m[0].Notes[0].Lyrics = []score.Lyric{{Verse: "1", Text: "sing"}}
	held := m[1].Notes[0]
	held.Voice = 2
	held.Lyrics = []score.Lyric{{Verse: "1", Text: "oh"}}
	first := m[1].Notes[0]
	second := first
	first.Length, second.Onset, second.Length = score.Frac(1, 2), score.Frac(1, 2), score.Frac(1, 2)
	first.Lyrics = held.Lyrics
	second.Lyrics = []score.Lyric{{Verse: "1", Text: "one"}, {Verse: "2", Text: "two"}}
	m[1].Notes = []score.Note{held, first, second}
	if got := words(writtenOut(t, s)); got != "1: sing 2: oh oh one 1b: sing 2b: oh oh two" {
		t.Error(got)
	}
}

// words are what is sung in each measure.
func words(s *score.Score) string {
	var all []string
	for _, m := range s.Parts[0].Measures {
		all = append(all, m.Number+":")
		for _, n := range m.Notes {
			for _, y := range n.Lyrics {
				all = append(all, y.Text)
			}
		}
	}
	return strings.Join(all, " ")
}

// TestUnplayed: what no sign leads to is found.
func TestUnplayed(t *testing.T) {
	for line, want := range map[string][][2]int{
		"|: 1 [1 2 :| ] [2 3 ]":            nil,
		"|: 1 [9 2 :| ] [2 3 ]":            {{1, 3}},
		"1 >To_Coda 2 >D.C.":               nil, // an error
		"1 2 >Fine 3 >D.C._al_Fine 4 5 6 ": {{3, 6}},
	} {
		if got := sketch(t, line).Unplayed(); !cmp.Equal(got, want) {
			t.Errorf("%s: %v, not %v", line, got, want)
		}
	}
}

// TestVersesUnsung: what WrittenOut sings again or leaves out is told.
func TestVersesUnsung(t *testing.T) {
	for _, test := range []struct {
		name, sketch string
		verses       map[string]string // by measure
		want         []string
	}{
		{"a verse a time", "|: 1 2 :|", map[string]string{"1": "1 2", "2": "1 2"}, nil},
		{"one verse for all times", "|: 1 :|3", map[string]string{"1": "1"}, nil},
		{"once", "1", map[string]string{"1": "1 2 3"}, nil},
		{"sung again, two measures in a row and one later", "|: 1 2 3 4 :|3", map[string]string{"1": "1 2", "2": "1 2", "3": "", "4": "1 2"},
			[]string{"measure 1: time 3 through has no verse of its own: verse 2 is sung again", "measure 4: time 3 through has no verse of its own: verse 2 is sung again"}},
		{"more verses than times", "|: 1 :|", map[string]string{"1": "1 2 3"}, []string{"measure 1: verse 3 is not sung: there is no time 3 through; if there should be, say so at the repeat (times)"}},
		{"verses that come later", "|: 1 :|3", map[string]string{"1": "2 3"}, []string{"measure 1: time 1 through has no verse: the first is 2"}},
		{"an ending has the verse of its time", "|: 1 [1 2 :| ] [2 3 ]", map[string]string{"1": "1 2", "2": "1", "3": "2"}, nil},
		{"a name", "|: 1 :|", map[string]string{"1": "1 2 chorus"}, nil},
		{"no way through", "1 >To_Coda 2 >D.C.", nil, []string{"a To Coda without a coda"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := sketch(t, test.sketch)
			for number, verses := range test.verses {
				n := &measure(t, s, number).Notes[0]
				for verse := range strings.FieldsSeq(verses) {
					n.Lyrics = append(n.Lyrics, score.Lyric{Verse: verse})
				}
			}
			got := s.VersesUnsung()
			if len(got) != len(test.want) {
				t.Fatalf("told: %v, want %q", got, test.want)
			}
			for i, err := range got {
				if !strings.Contains(err.Error(), test.want[i]) {
					t.Errorf("told: %v, want %s", err, test.want[i])
				}
			}
		})
	}
}

func TestWrittenOutErrors(t *testing.T) {
	uneven := sketch(t, "1 2")
	uneven.Parts = append(uneven.Parts, &score.Part{ID: "P2", Staves: 1})
	full := sketch(t, "|: 1 :|90000")
	full.Parts[0].Measures[0].Notes = make([]score.Note, 100)
	for want, s := range map[string]*score.Score{
		"part P2: 0 measures where another part has 2": uneven,
		"come to 9000000 notes, the limit is 5000000":  full,
	} {
		if _, err := s.WrittenOut(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want %q", err, want)
		}
	}
}

// TestWrittenOutIsWritten: as MusicXML and back it is the same music, still
// played straight.
func TestWrittenOutIsWritten(t *testing.T) {
	for file := range forms(t) {
		t.Run(file, func(t *testing.T) {
			doc := scoretest.Document(t, filepath.Join(formsDir, file))
			w := writtenOut(t, doc.Score())
			var text bytes.Buffer
			if err := doc.Write(&text, w); err != nil {
				t.Fatal(err)
			}
			back, err := musicxml.Read(&text, file, musicxml.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			isPlain(t, back.Score())
			if got, want := tonesText(back.Score()), tonesText(w); got != want {
				t.Errorf("read back, the tones are %s, want %s", got, want)
			}
		})
	}
}

// TestWrittenOutRandomForms: whatever the signs, the result is plain and
// without fault.
func TestWrittenOutRandomForms(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	signs := []string{"|:", "|:", "1", "2", "3", "[1", "[2", "[3", "@segno", "@coda", ">Fine", ">To_Coda", ">D.C.", ">D.S.", ":|", ":|3", "]"}
	for range 2000 {
		words := []string{"1"}
		for range random.IntN(20) {
			words = append(words, signs[random.IntN(len(signs))])
		}
		line := strings.Join(words, " ") + " 4"
		s := sketch(t, line)
		w, err := s.WrittenOut()
		if err != nil {
			continue // a jump to nowhere
		}
		t.Run("", func(t *testing.T) {
			for _, err := range score.Check(w) {
				t.Error(line, err)
			}
			isPlain(t, w)
		})
		if t.Failed() {
			t.Fatal(line)
		}
	}
}

// TestWrittenOutTimeOnly: a note and a lyric that are for one time through
// (MusicXML's time-only) are there then and at no other.
func TestWrittenOutTimeOnly(t *testing.T) {
	s := sketch(t, "|: 1 :|")
	m := s.Parts[0].Measures[0]
	first := m.Notes[0]
	first.TimeOnly = "2"
	first.Lyrics = []score.Lyric{{Text: "both"}, {Text: "again", TimeOnly: "2"}}
	m.Notes = append(m.Notes, first)
	m.Notes[0].Lyrics = []score.Lyric{{Text: "once", TimeOnly: "1"}}
	var got []string
	for _, m := range writtenOut(t, s).Parts[0].Measures {
		for _, n := range m.Notes {
			text := m.Number + n.TimeOnly
			for _, y := range n.Lyrics {
				text += " " + y.Text + y.TimeOnly
			}
			got = append(got, text)
		}
	}
	if diff := cmp.Diff([]string{"1 once", "1b", "1b both again"}, got); diff != "" {
		t.Error(diff)
	}
}
