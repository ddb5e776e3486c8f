package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/lead"
	"undersong/voicing/study"
)

var song = filepath.Join("..", "..", "examples", "lamp-for-the-late-boat", "lamp-for-the-late-boat.musicxml")

// TestResolve: what short forms name in the example song, as the measures that
// are voiced otherwise than plain.
func TestResolve(t *testing.T) {
	a := study.Analyse(scoretest.Score(t, song), nil)
	for _, c := range []struct {
		where string
		want  string
	}{
		{"last chorus", "46–56"},
		{"the last chorus", "46–56"},
		{"final chorus", "46–56"},
		{"1st chorus", "13–20"},
		{"first chorus", "13–20"},
		{"second verse", "21–28"},
		{"chorus 2", "29–36"},
		{"dernier refrain", "46–56"},
		{"2. Strophe", "21–28"},
		{"der letzte Kehrreim", "46–56"},
		{"het tweede couplet", "21–28"},
		{"il ritornello finale", "46–56"},
		{"segundo estribillo", "29–36"},
		{"första refräng", "13–20"},
		{"sista refrängen", "46–56"},
		{"andra versen", "21–28"},
		{"2e couplet", "21–28"},
		{"2:a versen", "21–28"},
		{"bryggan", "37–45"},
		{"chorus", "13–20 29–36 46–56"},
		{"Verse 2", "21–28"},
		{"VERSE 1", "5–12"},
		{"B", "5–12 21–28"},
		{"37-45", "37–45"},
		{"37-45, last chorus", "37–56"},
		{"60", "60–60"},
		{"5-12, 21", "5–12 21–21"},
		{"5–12,60", "5–12 60–60"},
		{"bridge,37-40", "37–45"},
		{"last time of chorus", "46–56"},
		{"time 2 of chorus", "29–36"},
		{"time 1 of last chorus", "46–56"},
		{"last C", "29–36"},
		{"C'", "46–56"},
	} {
		t.Run(c.where, func(t *testing.T) {
			flags := &Plan{Voicing: voicing.Plain}
			if err := flags.Add(voicing.Inverted, c.where); err != nil {
				t.Fatal(err)
			}
			file, err := Read(strings.NewReader("sections:\n  - where: "+c.where+"\n    voicing: inverted"), "plan.yaml")
			if err != nil {
				t.Fatal(err)
			}
			for name, p := range map[string]*Plan{"flags": flags, "file": file} {
				s, o, err := p.Resolve(a)
				if err != nil {
					t.Fatal(err)
				}
				if got := measures(s, o.Sections); got != c.want {
					t.Errorf("%s: measures %s, not %s", name, got, c.want)
				}
			}
		})
	}
}

// measures are those that sections begin and end with; a section that begins
// with a pickup is named by the measure that this leads to.
func measures(s *score.Score, sections []voicing.Section) string {
	starts := s.Starts()
	at := func(time score.Time) int {
		i := 0
		for i+1 < len(starts) && starts[i].Less(time) {
			i++
		}
		return i
	}
	var all []string
	for _, sec := range sections {
		all = append(all, fmt.Sprintf("%s–%s", s.Parts[0].Measures[at(sec.From)].Number, s.Parts[0].Measures[at(sec.To)-1].Number))
	}
	return strings.Join(all, " ")
}

// TestNamesWithNumbers: what looks like the number of a section may be its name, and
// a name its number.
func TestNamesWithNumbers(t *testing.T) {
	marks := map[string]string{
		"Intro": "First Theme", "Verse 1": "Second Theme", "Chorus": "The Close", "Verse 2": "Third Theme", "Bridge": "Last light", "Last Chorus": "The End",
	}
	headings := map[string]string{"Verse 1": "First verse", "Verse 2": "Verse II"}
	for _, c := range []struct {
		where string
		names map[string]string
		want  string
	}{
		{"the close", marks, "13–20 29–36"},
		{"last the close", marks, "29–36"},
		{"second theme", marks, "5–12"},
		{"last light", marks, "37–45"},
		{"first verse", headings, "5–12"},
		{"second verse", headings, "21–28"},
		{"verse 2", headings, "21–28"},
	} {
		s := scoretest.Score(t, song)
		for _, m := range s.Parts[0].Measures {
			for i := range m.Directions {
				for k := range m.Directions[i].Signs {
					sign := &m.Directions[i].Signs[k]
					if name := c.names[sign.Text]; name != "" {
						sign.Name, sign.Text = "rehearsal", name
					}
				}
			}
		}
		p := &Plan{}
		if err := p.Add(voicing.Inverted, c.where); err != nil {
			t.Fatal(err)
		}
		s, o, err := p.Resolve(study.Analyse(s, nil))
		if err != nil {
			t.Errorf("%s: %v", c.where, err)
			continue
		}
		if got := measures(s, o.Sections); got != c.want {
			t.Errorf("%s: measures %s, not %s", c.where, got, c.want)
		}
	}
}

func TestResolveErrors(t *testing.T) {
	a := study.Analyse(scoretest.Score(t, song), nil)
	for _, where := range []string{"minuet", "last minuet", "70-80", "40-80", "40-80b", "20-10", "chorus 0", "chorus -1", "last time of minuet", "70-80,5", "1-4,chorus,minuet"} {
		p := &Plan{}
		if err := p.Add(voicing.Inverted, where); err != nil {
			t.Fatal(err)
		}
		list := "Chorus"
		if digit(where) && !strings.Contains(where, "minuet") {
			list = "no measures"
		}
		if _, _, err := p.Resolve(a); err == nil || !strings.Contains(err.Error(), list) || !strings.Contains(err.Error(), "1 to 60") {
			t.Errorf("%s: %v", where, err)
		}
	}
	for where, want := range map[string]string{
		"fourth chorus": "chorus is played 3 times", "chorus 4": "chorus is played 3 times", "third bridge": "bridge is played 2 times",
		"time 2 of 1-4": "these measures are played once", "time 3 of 37-40": "these measures are played 2 times",
		"time 2 of intro": "intro is played once", "time 2 of last chorus": "last chorus is played once", "C 3": "C is played 2 times",
	} {
		p := &Plan{}
		if err := p.Add(voicing.Inverted, where); err != nil {
			t.Fatal(err)
		}
		if _, _, err := p.Resolve(a); err == nil || err.Error() != fmt.Sprintf("no %q: %s", where, want) {
			t.Errorf("%s: %v", where, err)
		}
	}
	for _, where := range []string{"", "time x of chorus", "time 0 of chorus", "a,,b"} {
		if err := (&Plan{}).Add(voicing.Inverted, where); err == nil || err.Error() != fmt.Sprintf("%q: must be %s", where, Where) {
			t.Errorf("%q: %v", where, err)
		}
	}
}

// TestLaterWins: of items that overlap the later holds.
func TestLaterWins(t *testing.T) {
	p := &Plan{Items: []Item{
		{Where: "13-56", Voicing: voicing.Inverted}, {Where: "chorus", Voicing: voicing.Tenor}, {Where: "50-52", Voicing: voicing.AsWritten},
	}}
	s, o, err := p.Resolve(study.Analyse(scoretest.Score(t, song), nil))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i, sec := range o.Sections {
		got = append(got, string(sec.Voicing))
		if i > 0 && sec.From.Less(o.Sections[i-1].To) {
			t.Errorf("section %d begins before the one before it ends", i)
		}
	}
	want := []string{"tenor", "inverted", "tenor", "inverted", "tenor", "as-written", "tenor"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%s\n%s", diff, measures(s, o.Sections))
	}
}

// TestTimes: a section that is played twice can be voiced in two ways: the
// form is written out, as the order of performance has it.
func TestTimes(t *testing.T) {
	s := scoretest.Score(t, song)
	order, err := s.Performance()
	if err != nil {
		t.Fatal(err)
	}
	for where, want := range map[string]string{
		"last time of bridge": "37b–45", "time 1 of bridge": "37–42", "time 2 of bridge": "37b–45",
		"37b-45": "37b–45", "first time of bridge": "37–42", "TIME 2 OF bridge": "37b–45", "last time of 36-46": "37b–46", "36-46, time 2 of bridge": "36–46",
		"time 1 of 36-46": "36–42", "time 2 of 36-46": "37b–46",
		"time 2 of 37-40": "37b–40b", "last 37-40": "37b–40b", "first 38": "38–38",
	} {
		p := &Plan{}
		if err := p.Add(voicing.Inverted, where); err != nil {
			t.Fatal(err)
		}
		out, o, err := p.Resolve(study.Analyse(s, nil))
		if err != nil {
			t.Fatal(err)
		}
		if out.MeasureCount() != len(order) {
			t.Errorf("%s: %d measures, %d are played", where, out.MeasureCount(), len(order))
		}
		if got := measures(out, o.Sections); got != want {
			t.Errorf("%s: measures %s, not %s", where, got, want)
		}
		_, report, err := voicing.Voice(out, o)
		if err != nil {
			t.Fatal(err)
		}
		if told := report.Findings[0].Text; !strings.Contains(told, "the repeats are written out, 60 measures as 64, so that each time can be voiced in its own way: the second time of measure 37 is 37b") {
			t.Errorf("%s: the report begins with %s", where, told)
		}
	}
}

// TestNumberedAndRepeated: of a verse that is played twice and one that is headed as
// the second, "second verse" is this one; a pickup goes with what it leads to.
func TestNumberedAndRepeated(t *testing.T) {
	s := scoretest.Score(t, song)
	names := map[string]string{"Verse 1": "First verse", "Verse 2": "Verse II"}
	for i, m := range s.Parts[0].Measures {
		for d := range m.Directions {
			for k := range m.Directions[d].Signs {
				if sign := &m.Directions[d].Signs[k]; names[sign.Text] != "" {
					sign.Text = names[sign.Text]
				}
			}
		}
		switch i {
		case 4:
			m.Barlines = append(m.Barlines, score.Barline{Location: "left", Repeat: "forward"})
		case 11:
			m.Barlines = append(m.Barlines, score.Barline{Location: "right", Repeat: "backward"})
		}
	}
	a := study.Analyse(s, nil)
	for where, want := range map[string]string{
		"second verse": "21–28", "verse 2": "21–28", "first verse": "5–12", "time 2 of the first verse": "5b–12b", "last time of first verse": "5b–12b", "third verse": "21–28",
	} {
		p := &Plan{}
		if err := p.Add(voicing.Inverted, where); err != nil {
			t.Fatal(err)
		}
		out, o, err := p.Resolve(a)
		if err != nil {
			t.Errorf("%s: %v", where, err)
			continue
		}
		if got := measures(out, o.Sections); got != want {
			t.Errorf("%s: measures %s, not %s", where, got, want)
		}
	}
	for _, where := range []string{"5-12", "first verse"} {
		_, o, err := (&Plan{Items: []Item{{Where: where, Voicing: voicing.Inverted}}}).Resolve(a)
		if err != nil {
			t.Fatal(err)
		}
		if got, barline := o.Sections[0].From, s.Starts()[4]; !got.Less(barline) || got.Less(s.Starts()[3]) {
			t.Errorf("%s begins at %s quarters, its pickup before %s", where, got, barline)
		}
	}
	// A pickup to nothing but what is left as written is none.
	out, o, err := (&Plan{Items: []Item{{Where: "5-12", Voicing: voicing.Inverted}, {Where: "5-6", Voicing: voicing.AsWritten}}}).Resolve(a)
	if err != nil {
		t.Fatal(err)
	}
	if got := measures(out, o.Sections); got != "5–6 7–12" {
		t.Errorf("inverted but left in its first measures: %s", got)
	}
	_, o, err = (&Plan{Items: []Item{
		{Where: "1-12", Voicing: voicing.Tenor}, {Where: "5-12", Voicing: voicing.Inverted}, {Where: "5-6", Voicing: voicing.AsWritten},
	}}).Resolve(a)
	if err != nil {
		t.Fatal(err)
	}
	if first, barline := o.Sections[0], s.Starts()[4]; first.Voicing != voicing.Tenor || first.To != barline {
		t.Errorf("the pickup to measures left as written goes to another item: %v until %s, want %s", first.Voicing, first.To, barline)
	}
}

// TestNumbersThatBeginAgain: in two movements measures of one number are both
// meant, and that is told.
func TestNumbersThatBeginAgain(t *testing.T) {
	s := scoretest.Score(t, song)
	for i, m := range s.Parts[0].Measures {
		m.Number = fmt.Sprint(1 + i%30)
	}
	p := &Plan{}
	if err := p.Add(voicing.Inverted, "5-8"); err != nil {
		t.Fatal(err)
	}
	_, o, err := p.Resolve(study.Analyse(s, nil))
	if err != nil {
		t.Fatal(err)
	}
	if out, _, err := (&Plan{Items: []Item{{Where: "last time of 7-12", Voicing: voicing.Inverted}}}).Resolve(study.Analyse(s, nil)); err != nil || out == s {
		t.Errorf("%v, written out: %v", err, out != s) // the bridge is played again as measures 7 to 12 of the second
	}
	if len(o.Sections) != 2 || len(o.Told) != 1 || o.Told[0].Text != `measures "5-8" are there 2 times: all are meant` {
		t.Errorf("%d sections, %v", len(o.Sections), o.Told)
	}
}

// TestOddNumbers: measures whose numbers are no numbers are measures where no
// section is called so, and one time of them too; measures that are not there have
// nothing written out.
func TestOddNumbers(t *testing.T) {
	s := scoretest.Score(t, song)
	for _, m := range s.Parts[0].Measures[36:45] {
		m.Number = "X" + m.Number
	}
	a := study.Analyse(s, nil)
	for where, want := range map[string]string{"X37": "X37–X37", "X37-X40": "X37–X40", "time 2 of X37-X40": "X37b–X40b", "36-X38": "36–X38"} {
		p := &Plan{}
		if err := p.Add(voicing.Inverted, where); err != nil {
			t.Fatal(err)
		}
		s, o, err := p.Resolve(a)
		if err != nil {
			t.Errorf("%s: %v", where, err)
			continue
		}
		if got := measures(s, o.Sections); got != want {
			t.Errorf("%s: measures %s, not %s", where, got, want)
		}
	}
	for _, where := range []string{"901-910", "14-90"} {
		p, err := Read(strings.NewReader("sections:\n  - where: "+where+"\n    voicing: inverted\n"), "plan.yaml")
		if err != nil {
			t.Fatal(err)
		}
		p.Optional(0)
		out, o, err := p.Resolve(a)
		if err != nil || out != a.Score || len(o.Told) != 1 || !Absent(o.Told[0]) || !strings.HasPrefix(o.Told[0].Text, "no measures") {
			t.Errorf("%s: %v, written out: %v, %v", where, err, out != a.Score, o.Told)
		}
	}
}

// TestAuto: plain first, inverted in the bridge and for the last chorus, its last
// time only where it is repeated; where the feet cannot, the left hand may; what has
// no melody is nothing to invert.
func TestAuto(t *testing.T) {
	section := func(name, kind, verdict string, times int, from string) study.Section {
		sec := study.Section{Name: name, Kind: kind, Times: times}
		sec.From, sec.Verdict.Inverted = from, verdict
		return sec
	}
	tenor := section("Chorus", "chorus", study.LeavePlain, 1, "8/1")
	tenor.Verdict.Tenor = true
	for _, c := range []struct {
		name     string
		sections []study.Section
		last     int // chorus; -1 of none
		want     string
	}{
		{"the last chorus", []study.Section{section("Verse", "verse", study.Yes, 1, "0/1"), section("Chorus", "chorus", study.Yes, 1, "4/1"), section("Chorus", "chorus", study.WithCare, 1, "8/1")}, 2, "last Chorus inverted"},
		{"and the bridge", []study.Section{section("Verse", "verse", study.Yes, 1, "0/1"), section("Bridge", "bridge", study.Yes, 1, "4/1"), section("Chorus", "chorus", study.Yes, 1, "8/1")}, 2, "Bridge inverted, Chorus inverted"},
		{"not a bridge that would not go", []study.Section{section("Verse", "verse", study.Yes, 1, "0/1"), section("Bridge", "bridge", study.LeavePlain, 1, "4/1"), section("Chorus", "chorus", study.Yes, 1, "8/1")}, 2, "Chorus inverted"},
		{"its last time", []study.Section{section("Verse", "verse", study.Yes, 3, "0/1"), section("Chorus", "chorus", study.Yes, 3, "4/1")}, 1, "last time of Chorus inverted"},
		{"the left hand", []study.Section{section("Verse", "verse", study.Yes, 1, "0/1"), tenor}, 1, "Chorus tenor"},
		{"no chorus", []study.Section{section("A", "", study.Yes, 1, "0/1"), section("B", "", study.Yes, 1, "4/1")}, -1, "B inverted"},
		{"a chorus without a melody", []study.Section{section("A", "", study.Yes, 1, "0/1"), section("Chorus", "chorus", "", 1, "4/1")}, 1, "A inverted"},
		{"the last that goes", []study.Section{section("A", "", study.Yes, 1, "0/1"), section("B", "", study.Yes, 1, "4/1"), section("C", "", study.WithCare, 1, "8/1")}, -1, "B inverted"},
		{"none goes but the first", []study.Section{section("A", "", study.Yes, 1, "0/1"), section("B", "", study.WithCare, 1, "4/1")}, -1, "B inverted"},
		{"by its measures", []study.Section{section("1", "", study.Yes, 1, "0/1"), section("2", "", study.Yes, 1, "4/1")}, -1, "17-24 inverted"},
		{"by measures that are there twice", []study.Section{section("1", "", study.Yes, 1, "0/1"), section("2", "", study.Yes, 1, "4/1"), section("3", "", study.Yes, 1, "8/1")}, -1, ""},
		{"the last of a kind under another name", []study.Section{section("Refrain 1", "chorus", study.Yes, 1, "0/1"), section("Verse", "verse", study.Yes, 1, "4/1"), section("Refrain", "chorus", study.Yes, 1, "8/1")}, 2, "last Refrain inverted"},
		{"a later one of the kind", []study.Section{section("Verse 1", "verse", study.Yes, 1, "0/1"), section("Verse", "verse", study.Yes, 1, "4/1"), section("Verse 3", "verse", study.LeavePlain, 1, "")}, -1, "17-24 inverted"},
		{"a name that would be read as a time", []study.Section{section("A", "", study.Yes, 1, "0/1"), section("Time 2 of day", "", study.Yes, 1, "4/1")}, -1, "17-24 inverted"},
		{"measures without numbers", []study.Section{section("1", "", study.Yes, 1, "0/1"), section("2", "", study.Yes, 1, "")}, -1, ""},
		{"nothing would go", []study.Section{section("A", "", study.LeavePlain, 1, "0/1")}, -1, ""},
		{"no melody at all", []study.Section{section("A", "", "", 1, "0/1")}, -1, ""},
	} {
		s := &study.Study{Sections: c.sections}
		for i := range s.Sections {
			if s.Sections[i].From != "" {
				s.Sections[i].FirstMeasure, s.Sections[i].LastMeasure = fmt.Sprint(9+8*(i%2)), fmt.Sprint(16+8*(i%2))
			}
		}
		if c.last >= 0 {
			s.LastChorus = &study.LastChorus{Section: c.last}
		}
		var got []string
		for _, item := range Auto(s).Items {
			got = append(got, fmt.Sprint(item.Where, " ", item.Voicing))
		}
		if text := strings.Join(got, ", "); text != c.want {
			t.Errorf("%s: %s, not %s", c.name, text, c.want)
		}
	}
}

// TestGuessedChorus: where no section is a chorus, what returns most is taken for
// one, and that is told.
func TestGuessedChorus(t *testing.T) {
	a := study.Analyse(scoretest.Score(t, song), nil)
	for i := range a.Sections {
		a.Sections[i].Kind, a.Sections[i].Name = form.Other, a.Sections[i].Letter
	}
	for _, where := range []string{"last chorus", "last return"} {
		p := &Plan{}
		if err := p.Add(voicing.Inverted, where); err != nil {
			t.Fatal(err)
		}
		_, o, err := p.Resolve(a)
		if err != nil {
			t.Fatal(err)
		}
		if len(o.Sections) != 1 || len(o.Told) != 1 || !strings.HasPrefix(o.Told[0].Text, `"`+where+`": no section is a chorus; `) {
			t.Errorf("%d sections, %v", len(o.Sections), o.Told)
		}
	}
}

// TestRoundTrip: a plan that is written reads back the same, and so does what
// auto makes of every shared score.
func TestRoundTrip(t *testing.T) {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	octave := -2
	plans := []*Plan{{
		Voicing: voicing.Tenor, Transpose: -2, Difficulty: 5, Figure: lead.Rocking,
		Items: []Item{
			{Where: `the "last" \ verse: 1`, Voicing: voicing.Covered, Manner: voicing.Manner{Octave: &octave, Notes: 2, Softer: 1, Alone: true, Figure: lead.Tremolo}},
			{Where: "12-13", Voicing: voicing.AsWritten},
		},
	}, {Voicing: voicing.Plain, Transpose: voicing.TransposeAuto, Difficulty: 3}, {
		Voicing: voicing.Plain, Difficulty: 3, Items: []Item{{Where: "chorus", Manner: voicing.Manner{Figure: lead.Rocking}}},
	}}
	s := &study.Study{Title: "Two\nlines", Tower: "47"}
	for _, file := range append(scoretest.Shared(t), song) {
		a := study.Analyse(scoretest.Score(t, file), nil)
		s = a.Study(tower)
		p := Auto(s)
		plans = append(plans, p)
		if _, _, err := p.Resolve(a); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
	for _, p := range plans {
		var b bytes.Buffer
		if err := p.Write(&b, s); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		again, err := Read(&b, "plan.yaml")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if len(p.Items) == 0 {
			p.Items = nil
		}
		if diff := cmp.Diff(p, again, cmpopts.IgnoreUnexported(Item{})); diff != "" {
			t.Errorf("%s\n%s", diff, text)
		}
	}
}

// TestWrongFields: each wrong field gives file, line, field and what is
// allowed.
func TestWrongFields(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"voicing: upside", `plan.yaml:1: voicing: "upside": must be inverted, tenor, covered or plain`},
		{"transpose: 9", `plan.yaml:1: transpose: "9": must be a number of semitones from -6 to 6, or auto`},
		{"difficulty: hard", `plan.yaml:1: difficulty: "hard": must be a number from 1 to 5`},
		{"colour: red", "plan.yaml:1: colour: is not a field here; there are voicing, transpose, difficulty, figure, sections"},
		{"transpose: 1\ntranspose: 2", "plan.yaml:2: transpose: is there twice: remove one of them"},
		{"sections: chorus", `plan.yaml:1: sections: must be a list, each section after "- "`},
		{"sections:\n  - chorus", "plan.yaml:2: sections: must have fields: where, voicing, octave, notes, softer, alone, figure"},
		{"sections:\n  - where: chorus", "plan.yaml:2: where: is alone: say how it is voiced, with voicing, octave, notes, softer, alone, figure"},
		{"sections:\n  - where:\n    voicing: plain", "plan.yaml:2: where: is empty: must be " + Where},
		{"sections:\n  - where: |\n      chorus\n      bridge\n    voicing: plain", "plan.yaml:2: where: is more than a word or a number on its line: must be " + Where},
		{"sections:\n  - where: &a chorus\n    voicing: plain", "plan.yaml:2: where: is more than a word or a number on its line: must be " + Where},
		{"sections:\n  - where: [chorus, bridge]\n    voicing: plain", "plan.yaml:2: where: is more than a word or a number on its line: must be " + Where},
		{"", "plan.yaml: says nothing: must have lines of a field, a colon and a value"},
		{"# nothing yet\n", "plan.yaml: says nothing: must have lines of a field, a colon and a value"},
		{"sections:\n  - voicing: plain", "plan.yaml:2: where: must be there: " + Where},
		{"sections:\n  - where: time x of y\n    voicing: plain", `plan.yaml:2: where: "time x of y": must be ` + Where},
		{"sections:\n  - where: 5-12,,21\n    voicing: plain", `plan.yaml:2: where: "5-12,,21": must be ` + Where},
		{"sections:\n  - where: a\n    voicing: as\n", `plan.yaml:3: voicing: "as": must be inverted, tenor, covered, plain or as-written`},
		{"sections:\n  - where: a\n    voicing: plain\n    octave: 7", `plan.yaml:4: octave: "7": must be a number from -3 to 3: by how many octaves the melody is moved`},
		{"sections:\n  - where: a\n    voicing: plain\n    notes: 0", `plan.yaml:4: notes: "0": must be a number from 1 to 4: notes of the accompaniment at once`},
		{"sections:\n  - where: a\n    voicing: plain\n    softer: pp", `plan.yaml:4: softer: "pp": must be a number from 1 to 4: dynamic marks under the melody`},
		{"sections:\n  - where: a\n    voicing: plain\n    alone: maybe", `plan.yaml:4: alone: "maybe": must be yes or no: the melody without accompaniment`},
		{"sections:\n  - where: a\n    voicing: plain\n    tempo: 3", "plan.yaml:4: tempo: is not a field here; there are where, voicing, octave, notes, softer, alone, figure"},
		{"figure: strummed", `plan.yaml:1: figure: "strummed": must be ` + figures},
		{"sections:\n  - where: a\n    voicing: plain\n    figure: none", `plan.yaml:4: figure: "none": must be ` + figures},
		{"voicing: plain\n---\nvoicing: tenor", "plan.yaml:3: begins a second plan: a file has one"},
		{"- a\n- b", "plan.yaml:1: must be lines of a field, a colon and a value"},
	} {
		_, err := Read(strings.NewReader(c.text), "plan.yaml")
		if err == nil || err.Error() != c.want {
			t.Errorf("%q:\n%v\nnot\n%s", c.text, err, c.want)
		}
	}
}

// TestZeroPlan: a plan of which nothing is set is written as what it means.
func TestZeroPlan(t *testing.T) {
	var b bytes.Buffer
	if err := new(Plan).Write(&b, &study.Study{}); err != nil {
		t.Fatal(err)
	}
	p, err := Read(&b, "plan.yaml")
	if diff := cmp.Diff(&Plan{Voicing: voicing.Plain, Difficulty: 3}, p); err != nil || diff != "" {
		t.Error(err, diff)
	}
}

// TestMannerAlone: a section can change how it is voiced and leave which voicing
// it is to the plan; capital letters are no mistake.
func TestMannerAlone(t *testing.T) {
	p, err := Read(strings.NewReader("voicing: Tenor\nsections:\n  - where: chorus\n    notes: 2\n"), "plan.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, o, err := p.Resolve(study.Analyse(scoretest.Score(t, song), nil))
	if err != nil {
		t.Fatal(err)
	}
	for _, sec := range o.Sections {
		if sec.Voicing != voicing.Tenor || sec.Manner.Notes != 2 {
			t.Errorf("%+v", sec)
		}
	}
	if len(o.Sections) != 3 {
		t.Errorf("%d sections", len(o.Sections))
	}
}

// TestLineOfAPlace: a place that the score does not have is told with its line.
func TestLineOfAPlace(t *testing.T) {
	p, err := Read(strings.NewReader("sections:\n  - where: bridge\n    voicing: inverted\n  - where: minuet\n    voicing: plain\n"), "plan.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err = p.Resolve(study.Analyse(scoretest.Score(t, song), nil)); err == nil || !strings.HasPrefix(err.Error(), `plan.yaml:4: where: no section "minuet"`) {
		t.Error(err)
	}
}

// TestPlacesNeverPanic: letters whose lower case is longer are letters.
func TestPlacesNeverPanic(t *testing.T) {
	for _, where := range []string{"last time of ȺȺȺȺȺȺȺȺ", "time 1 of ȺȺȺ", "the ȺȺ", "last Ⱥ"} {
		p := &Plan{}
		if err := p.Add(voicing.Inverted, where); err != nil {
			t.Fatal(err)
		}
		if _, _, err := p.Resolve(study.Analyse(scoretest.Score(t, song), nil)); err == nil {
			t.Errorf("%q is a section", where)
		}
	}
}

// TestKnown: what an analysis has found spares its finding and changes nothing.
func TestKnown(t *testing.T) {
	for _, file := range append(scoretest.Shared(t), song) {
		for _, transpose := range []int{0, 2} {
			p := Plan{Voicing: voicing.Inverted, Transpose: transpose}
			s, o, err := p.Resolve(study.Analyse(scoretest.Score(t, file), nil))
			if err != nil {
				t.Fatal(err)
			}
			if o.Known == nil {
				t.Errorf("%s: nothing is known", file)
			}
			got := reported(t, s, o)
			o.Known = nil
			if diff := cmp.Diff(reported(t, s, o), got); diff != "" {
				t.Errorf("%s, transposed by %d: %s", file, transpose, diff)
			}
		}
	}
}

// reported is the report of a voicing as JSON.
func reported(t *testing.T, s *score.Score, o voicing.Options) string {
	t.Helper()
	_, report, err := voicing.Voice(s, o)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(report)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
