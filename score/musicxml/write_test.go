package musicxml

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

const roundtrip = "../../testdata/roundtrip"

func glob(t testing.TB, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(roundtrip, pattern))
	if err != nil || len(files) == 0 {
		t.Fatalf("no files match %s: %v", pattern, err)
	}
	return files
}

// plain is the text of a file, packed or not, without its XML declaration.
func plain(t testing.TB, raw []byte, limits Limits) string {
	t.Helper()
	text := string(raw)
	var err error
	if isArchive(text) {
		if text, err = unpack(t.Context(), text, limits.withDefaults()); err != nil {
			t.Fatal(err)
		}
	}
	if text, err = decode(text); err != nil {
		t.Fatal(err)
	}
	return text
}

// TestUnchanged: a score that is written as it was read has the text of the
// file.
func TestUnchanged(t *testing.T) {
	files := append(glob(t, "*.musicxml"), glob(t, "encodings/*.musicxml")...)
	files = append(files, glob(t, "../forms/*.musicxml")...)
	files = append(files, glob(t, "archives/roo*.mxl")...)
	for _, path := range glob(t, "odd/*.musicxml") {
		if filepath.Base(path) != "doctype-entity-used.musicxml" { // not read, see TestOdd
			files = append(files, path)
		}
	}
	shared, _ := filepath.Glob("../../../shared/scores/*.m*x*l")
	if len(shared) == 0 {
		t.Log("SKIPPED: ../shared/scores is not here, only our own files were tested")
	}
	for _, path := range append(files, shared...) {
		doc := readFile(t, path)
		var out bytes.Buffer
		if err := doc.Write(&out, doc.Score()); err != nil {
			t.Fatal(err)
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(out.String(), "?>\n"+plain(t, raw, Limits{})) {
			t.Errorf("%s: the text is not what was read", path)
		}
		if _, err := Read(&out, path, Limits{}); err != nil {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// TestEngravedAnew: a score whose every measure is written anew reads back
// with the same notes, at the same moments, for as long.
func TestEngravedAnew(t *testing.T) {
	files := glob(t, "*.musicxml")
	shared, _ := filepath.Glob("../../../shared/scores/*.m*x*l")
	if len(shared) == 0 {
		t.Log("SKIPPED: ../shared/scores is not here, only our own files were tested")
	}
	for _, path := range append(files, shared...) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			doc := readFile(t, path)
			var out bytes.Buffer
			if err := doc.Write(&out, anew(doc.Score())); err != nil {
				t.Fatal(err)
			}
			keep(t, path, out.Bytes(), doc.Score())
			again, err := Read(&out, path, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(sounds(doc.Score()), sounds(again.Score())); diff != "" {
				t.Errorf("the notes differ (-read +written):\n%s", diff)
			}
		})
	}
}

// keep leaves what was written in the folder that UNDERSONG_KEEP names, and
// beside it the notes that should be in it, for the checkers in .ci.
func keep(t *testing.T, path string, text []byte, s *score.Score) {
	t.Helper()
	dir := os.Getenv("UNDERSONG_KEEP")
	if dir == "" {
		return
	}
	type note struct {
		Part    int     `json:"part"`
		Measure int     `json:"measure"`
		Onset   float64 `json:"onset"`
		Length  float64 `json:"length"`
		Pitch   float64 `json:"pitch"` // 0 for an unpitched note
	}
	notes := []note{}
	for i, p := range s.Parts {
		for j, m := range p.Measures {
			for _, n := range m.Notes {
				if n.Kind != score.Rest {
					micro := 0.0
					if n.Kind == score.Pitched {
						micro = float64(n.Pitch.Alter)/100 + float64(score.Pitch{Step: n.Pitch.Step, Octave: n.Pitch.Octave}.MIDI())
					}
					notes = append(notes, note{i, j, n.Onset.Quarters(), n.Length.Quarters(), micro})
				}
			}
		}
	}
	list, err := json.Marshal(notes)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
	for file, content := range map[string][]byte{name + ".musicxml": text, name + ".notes.json": list} {
		if err := os.WriteFile(file, content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// anew is s with every part and measure new, so that all must be engraved.
func anew(s *score.Score) *score.Score {
	c := *s
	c.Parts = nil
	for _, p := range s.Parts {
		q := *p
		q.Measures = nil
		for _, m := range p.Measures {
			n := *m
			q.Measures = append(q.Measures, &n)
		}
		c.Parts = append(c.Parts, &q)
	}
	return &c
}

type sound struct {
	Part          int
	Onset, Length string
	Pitch         string
	Grace         bool
}

// sounds lists the tones of s. A chord of grace notes has no order of its own:
// it is listed from low to high.
func sounds(s *score.Score) []sound {
	var all []sound
	chord := 0 // where the latest chord of grace notes begins
	for _, t := range s.Tones() {
		if n := len(all); !t.First().GraceChord || n == 0 || !all[n-1].Grace || all[n-1].Onset != t.Onset.String() {
			chord = n
		}
		all = append(all, sound{t.Part, t.Onset.String(), t.Length.String(), t.Pitch.String(), t.First().Grace})
		if t.First().GraceChord {
			slices.SortFunc(all[chord:], func(x, y sound) int { return strings.Compare(x.Pitch, y.Pitch) })
		}
	}
	return all
}

func TestWriteArchive(t *testing.T) {
	doc := readFile(t, filepath.Join(roundtrip, "ties-over-gap.musicxml"))
	var out bytes.Buffer
	if err := doc.WriteArchive(&out, doc.Score()); err != nil {
		t.Fatal(err)
	}
	again, err := Read(&out, "written.mxl", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(sounds(doc.Score()), sounds(again.Score())); diff != "" {
		t.Error(diff)
	}
}

// TestUntouched: beside a measure that is engraved anew, the others come out
// byte for byte.
func TestUntouched(t *testing.T) {
	for _, path := range glob(t, "*.musicxml") {
		doc := readFile(t, path)
		if doc.tree.Root.Tag != "score-partwise" {
			continue
		}
		s := doc.Score()
		for part := range s.Parts {
			changed := *s
			changed.Parts = append([]*score.Part{}, s.Parts...)
			p := *s.Parts[part]
			p.Measures = append([]*score.Measure{}, p.Measures...)
			last := *p.Measures[len(p.Measures)-1]
			p.Measures[len(p.Measures)-1] = &last
			changed.Parts[part] = &p
			var out bytes.Buffer
			if err := doc.Write(&out, &changed); err != nil {
				t.Fatal(err)
			}
			for i, m := range p.Measures[:len(p.Measures)-1] {
				at := doc.tree.Spans[doc.element(m.Source)]
				if !strings.Contains(out.String(), doc.tree.Text[at.Start:at.End]) {
					t.Errorf("%s: measure %d of part %s is not as it was", path, i+1, p.ID)
				}
			}
			again, err := Read(&out, path, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(sounds(s), sounds(again.Score())); diff != "" {
				t.Errorf("%s: the notes differ (-read +written):\n%s", path, diff)
			}
		}
	}
}

// TestMade: what a pass made, without a source, is written from the model.
func TestMade(t *testing.T) {
	doc := blank(t)
	m := &score.Measure{
		Number: "1", Length: score.Quarters(4),
		Keys: []score.KeyChange{{Key: score.KeySignature{Free: true, Alters: [7]score.Alter{score.F: score.Sharp}}}},
		Notes: []score.Note{{
			Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(60),
			Marks: []score.Mark{{Name: "accent", Group: "articulations", Number: 1}},
		}, {
			Kind: score.Unpitched, Staff: 1, Voice: 2, Length: score.Quarters(4),
		}},
		Chords:   []score.ChordSymbol{{HasRoot: true, Root: score.Spell(61), Kind: "minor"}},
		Barlines: []score.Barline{{Location: "right", Style: "light-heavy", Repeat: "backward"}},
	}
	made := &score.Score{Parts: []*score.Part{{ID: "P&1", Name: "Bells", Staves: 1, Measures: []*score.Measure{m}}}}
	var out bytes.Buffer
	if err := doc.Write(&out, made); err != nil {
		t.Fatal(err)
	}
	text := out.String()
	again, err := Read(&out, "made", Limits{})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	for _, want := range []string{
		`<part id="P&amp;1">`, "<key-step>F</key-step>", "<accent/>", "<unpitched/>", "<root-alter>1</root-alter>", `<repeat direction="backward"/>`,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s in\n%s", want, text)
		}
	}
	if got := again.Score().Parts[0].Measures[0].Chords[0].Kind; got != "minor" {
		t.Errorf("the chord symbol is of kind %q", got)
	}
}

// TestEngravedAttributes: what a note says of itself beside its pitch and
// length is there again when it is engraved anew.
func TestEngravedAttributes(t *testing.T) {
	const file = `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">
	<attributes><divisions>1</divisions></attributes>
	<note><grace/><pitch><step>D</step><octave>5</octave></pitch><type>16th</type></note>
	<note time-only="2"><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><lyric time-only="2"><text>la</text></lyric></note>
	<barline location="right" segno="s1" coda="c1"><segno/><coda/></barline>
	</measure></part></score-partwise>`
	doc, err := Read(strings.NewReader(file), "file", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := doc.Write(&out, anew(doc.Score())); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"<type>16th</type>", `<note time-only="2">`, `<lyric time-only="2">`} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%s is not in\n%s", want, out.String())
		}
	}
	again, err := Read(&out, "again", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	b := again.Score().Parts[0].Measures[0].Barlines
	if len(b) != 1 || b[0].SegnoLabel != "s1" || b[0].CodaLabel != "c1" {
		t.Errorf("barlines %+v", b)
	}
}

// TestSoftwareOnce: a score that has been through here twice says so once.
func TestSoftwareOnce(t *testing.T) {
	doc := readFile(t, glob(t, "grace-before.musicxml")[0])
	for range 2 {
		var out bytes.Buffer
		if err := doc.Write(&out, anew(doc.Score())); err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(out.String(), "<software>"+Software); n != 1 {
			t.Fatalf("%d times", n)
		}
		var err error
		if doc, err = Read(&out, "again", Limits{}); err != nil {
			t.Fatal(err)
		}
	}
}

// TestHiddenRest: a hidden rest that no one value can show is hidden in all its
// pieces.
func TestHiddenRest(t *testing.T) {
	m := &score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{
		{Kind: score.Rest, Hidden: true, Staff: 1, Voice: 1, Length: score.Frac(5, 2)},
		{Staff: 1, Voice: 1, Onset: score.Frac(5, 2), Length: score.Frac(3, 2), Pitch: score.Spell(60)},
	}}
	text, again := rewritten(t, scoreOf(m))
	for _, n := range again.Parts[0].Measures[0].Notes {
		if n.Kind == score.Rest && !n.Hidden {
			t.Errorf("a piece can be seen:\n%s", text)
		}
	}
}

// scoreOf is a score of one part.
func scoreOf(measures ...*score.Measure) *score.Score {
	return &score.Score{Parts: []*score.Part{{ID: "P1", Name: "Bells", Staves: 1, Measures: measures}}}
}

// rewritten writes a made score and reads it again.
func rewritten(t *testing.T, s *score.Score) (text string, again *score.Score) {
	t.Helper()
	var out bytes.Buffer
	if err := blank(t).Write(&out, s); err != nil {
		t.Fatal(err)
	}
	text = out.String()
	doc, err := Read(&out, "written", Limits{})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return text, doc.Score()
}

// TestMadeThings: what was made is written as far as the model says it.
func TestMadeThings(t *testing.T) {
	m := &score.Measure{Number: "1", Length: score.Quarters(4),
		Notes: []score.Note{{
			Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(60),
			Lyrics: []score.Lyric{
				{Verse: "1", Text: "bells & <all>", Syllabic: "begin", Extend: true},
				{Verse: "chorus", Text: "la", Syllabic: "single", TimeOnly: "2"},
				{Verse: "2", Extend: true},
			},
		}},
		Chords: []score.ChordSymbol{
			{HasRoot: true, Root: score.Pitch{Alter: score.Sharp}, Kind: "dominant", Text: "7", HasBass: true, Bass: score.Pitch{Step: score.F}, Inversion: 1,
				Degrees: []score.Degree{{Value: 9, Alter: score.Flat, Type: "add"}, {Value: 5, Type: "subtract"}}},
			{Onset: score.Quarters(1), Kind: "major", Numeral: score.Numeral{Degree: 2, Alter: score.Flat, HasKey: true,
				Key: score.KeySignature{Fifths: -3, Mode: "major"}}},
		},
		Directions: []score.Direction{
			{Signs: []score.Sign{{Name: "octave-shift", Type: "down", Number: 1, Size: 15}}},
			{Onset: score.Quarters(1), Signs: []score.Sign{{Name: "dynamics", Text: "mf dim.", Number: 1, Size: 8}}},
			{Onset: score.Quarters(2), Signs: []score.Sign{{Name: "dynamics", Text: "sfz", Number: 1, Size: 8}}},
			{Onset: score.Quarters(4), Signs: []score.Sign{{Name: "octave-shift", Type: "stop", Number: 1, Size: 15}}},
		},
	}
	_, s := rewritten(t, scoreOf(m))
	again := s.Parts[0].Measures[0]
	forget(again)
	if diff := cmp.Diff(m.Notes[0].Lyrics, again.Notes[0].Lyrics); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(m.Chords, again.Chords, times); diff != "" {
		t.Error(diff)
	}
	for i, d := range again.Directions {
		if diff := cmp.Diff(m.Directions[i].Signs, d.Signs); diff != "" {
			t.Error(diff)
		}
	}
}

// times compares times.
var times = cmp.Comparer(func(a, b score.Time) bool { return a == b })

// forget sets all sources in m to 0.
func forget(m *score.Measure) {
	m.Source = 0
	for i := range m.Notes {
		n := &m.Notes[i]
		n.Source = 0
		for j := range n.Lyrics {
			n.Lyrics[j].Source = 0
		}
		for j := range n.Marks {
			n.Marks[j].Source = 0
		}
	}
	for i := range m.Keys {
		m.Keys[i].Source = 0
	}
	for i := range m.Times {
		m.Times[i].Source = 0
	}
	for i := range m.Clefs {
		m.Clefs[i].Source = 0
	}
	for i := range m.Transposes {
		m.Transposes[i].Source = 0
	}
	for i := range m.Chords {
		m.Chords[i].Source = 0
	}
	for i := range m.Barlines {
		m.Barlines[i].Source = 0
	}
	for i := range m.Directions {
		d := &m.Directions[i]
		d.Source = 0
		for j := range d.Signs {
			d.Signs[j].Source = 0
		}
	}
}

// TestWriteErrors: what cannot be written is an error, not a panic.
func TestWriteErrors(t *testing.T) {
	note := score.Note{Staff: 1, Voice: 1, Length: score.Quarters(4)}
	with := func(change func(*score.Measure)) *score.Score {
		m := &score.Measure{Number: "7", Length: score.Quarters(4), Notes: []score.Note{note}}
		change(m)
		return scoreOf(m)
	}
	other := readFile(t, filepath.Join(roundtrip, "ties-over-gap.musicxml"))
	for _, c := range []struct {
		name  string
		score *score.Score
		want  string
	}{
		{"no score", nil, "no score"},
		{"another document's", anew(other.Score()), "not this document's"},
		{"another document's, unchanged", other.Score(), "not this document's"},
		{"a part missing", &score.Score{Parts: []*score.Part{nil}}, "missing"},
		{"a measure missing", scoreOf(nil), "missing"},
		{"no staff", &score.Score{Parts: []*score.Part{{ID: "P1"}}}, "0 staves"},
		{"an unknown source", with(func(m *score.Measure) { m.Notes[0].Source = 4e9 }), "part P1, measure 7: the note has a source"},
		{"another thing's source", with(func(m *score.Measure) { m.Keys = []score.KeyChange{{Source: 1}} }), "key signature has a source"},
		{"an Other of our own", with(func(m *score.Measure) { m.Others = []score.Other{{Name: "figured-bass"}} }), "without source"},
		{"a chord without root", with(func(m *score.Measure) { m.Chords = []score.ChordSymbol{{Kind: "major"}} }), "without root"},
		{"a staff too many", with(func(m *score.Measure) { m.Notes[0].Staff = 2 }), "staff 2 of 1"},
		{"a sign's name", with(func(m *score.Measure) {
			m.Directions = []score.Direction{{Signs: []score.Sign{{Name: "two words"}}}}
		}), "name of an element"},
		{"no time signature", with(func(m *score.Measure) {
			m.Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}}}}}}
		}), "under 1"},
	} {
		var out bytes.Buffer
		err := blank(t).Write(&out, c.score)
		if err == nil || !strings.Contains(err.Error(), c.want) || out.Len() > 0 {
			t.Errorf("%s: error %v, want %q, and nothing written", c.name, err, c.want)
		}
	}
	if err := new(Document).Write(&bytes.Buffer{}, scoreOf()); err == nil {
		t.Error("a document that was never read has no error")
	}
}

// TestWriteMade: a score that was made is written with its header, and its
// sources, which no document issued, are errors.
func TestWriteMade(t *testing.T) {
	s := scoreOf(&score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{
		{Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(60)},
	}})
	s.Title, s.Movement = "Works & Days", "First <Bell>"
	s.Composers, s.Rights = []string{"A. Ringer", "B. Ringer"}, []string{"free", "for all"}
	var out bytes.Buffer
	if err := Write(&out, s); err != nil {
		t.Fatal(err)
	}
	text := out.String()
	doc, err := Read(&out, "made", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	again := doc.Score()
	if diff := cmp.Diff([]any{s.Title, s.Movement, s.Composers, s.Rights, s.Parts[0].Name},
		[]any{again.Title, again.Movement, again.Composers, again.Rights, again.Parts[0].Name}); diff != "" {
		t.Errorf("%s\n%s", diff, text)
	}
	if diff := cmp.Diff(sounds(s), sounds(again)); diff != "" {
		t.Error(diff)
	}
	for name, s := range map[string]*score.Score{"nil": nil, "a read one": again, "a part read": {Parts: []*score.Part{{ID: "P1", Staves: 1, Source: 1}}}} {
		if err := Write(&bytes.Buffer{}, s); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// TestOwnAccidentals: a note that is still of the pitch that was read shows it as
// it did, and one that is not shows its new one.
func TestOwnAccidentals(t *testing.T) {
	note := func(alter, accidental string) string {
		return "<note><pitch><step>C</step><alter>" + alter + "</alter><octave>5</octave></pitch><duration>1</duration><voice>1</voice>" +
			"<type>quarter</type><accidental>" + accidental + "</accidental></note>"
	}
	doc, err := Read(strings.NewReader(`<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">
	<attributes><divisions>1</divisions></attributes>`+note("0.333", "sharp-down")+note("-0.5", "slash-flat")+note("1.5", "sharp-up")+
		note("2", "sharp-sharp")+note("-0.5", "quarter-flat")+`</measure></part></score-partwise>`), "file", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	s := anew(doc.Score())
	m := s.Parts[0].Measures[0]
	m.Notes = slices.Clone(m.Notes)
	last := &m.Notes[4]
	last.Pitch.Alter = score.Flat
	var out bytes.Buffer
	if err := doc.Write(&out, s); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"<alter>0.333</alter>", "<accidental>sharp-down<", "<accidental>slash-flat<", "<accidental>sharp-up<", "<accidental>sharp-sharp<",
		"<alter>-1</alter>", "<accidental>flat<",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %s in\n%s", want, out.String())
		}
	}
}

// TestChangedThings: what was changed since it was read is written as it is
// now, whether it keeps its source or not.
func TestChangedThings(t *testing.T) {
	const file = `<score-partwise><part-list><score-part id="P1"><part-name>Old</part-name></score-part></part-list><part id="P1"><measure number="1">
	<attributes><divisions>1</divisions><key><fifths>2</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>
	<clef><sign>G</sign><line>2</line></clef><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>
	<harmony><root><root-step>C</root-step></root><kind text="old">major</kind></harmony>
	<direction><direction-type><words>old</words></direction-type></direction>
	<direction><direction-type><dynamics><ff/></dynamics></direction-type></direction>
	<direction><direction-type><wedge type="crescendo"/></direction-type></direction>
	<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><notations><slur type="start" number="1"/></notations>
	<lyric number="1" time-only="1"><syllabic>single</syllabic><text>old</text></lyric></note>
	<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>
	</measure></part></score-partwise>`
	for _, keepSource := range []bool{true, false} {
		doc, err := Read(strings.NewReader(file), "file", Limits{})
		if err != nil {
			t.Fatal(err)
		}
		s := anew(doc.Score()) // the only reader of this document may change it in place
		p := s.Parts[0]
		p.Name = "New"
		m := p.Measures[0]
		m.Keys[0].Key.Fifths = -3
		m.Times[0].Time.Groups = []score.BeatGroup{{Beats: []int{2}, Unit: 2}}
		m.Clefs[0].Clef = score.Bass
		m.Transposes[0].Transposition = score.Interval(7)
		c := &m.Chords[0]
		c.Kind, c.Text, c.HasBass, c.Bass = "minor", "new", true, score.Pitch{Step: score.G}
		c.Degrees = []score.Degree{{Value: 9, Type: "add"}}
		m.Directions[0].Signs[0].Text = "new"
		m.Directions[1].Signs[0].Text = "pp"
		m.Directions[2].Signs[0].Type = "stop"
		n := &m.Notes[0]
		n.Lyrics[0].Text, n.Lyrics[0].TimeOnly, n.Marks[0].Type = "new", "2", "stop"
		m.Barlines[0].Times, m.Barlines[0].Style = 3, "heavy"
		if !keepSource {
			forget(m)
		}
		var out bytes.Buffer
		if err := doc.Write(&out, s); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		doc, err = Read(&out, "again", Limits{})
		if err != nil {
			t.Fatal(err)
		}
		again := doc.Score().Parts[0].Measures[0]
		if got := doc.Score().Parts[0].Name; got != "New" || strings.Contains(text, "old") {
			t.Errorf("the part is named %q in\n%s", got, text)
		}
		forget(m)
		forget(again)
		for _, pair := range [][2]any{
			{m.Keys, again.Keys}, {m.Times, again.Times}, {m.Clefs, again.Clefs}, {m.Transposes, again.Transposes}, {m.Chords, again.Chords},
			{m.Directions, again.Directions}, {m.Barlines, again.Barlines}, {m.Notes[0].Lyrics, again.Notes[0].Lyrics}, {m.Notes[0].Marks, again.Notes[0].Marks},
		} {
			if diff := cmp.Diff(pair[0], pair[1], times); diff != "" {
				t.Errorf("sources kept %v:\n%s", keepSource, diff)
			}
		}
	}
}

// TestLost: what the package's comment says is not written, and what is.
func TestLost(t *testing.T) {
	const music = `<identification><encoding><supports element="beam" type="yes"/></encoding></identification>
	<defaults><scaling><millimeters>7</millimeters><tenths>40</tenths></scaling><word-font font-size="9"/></defaults>
	<part-list><score-part id="P1"><part-name>N&#233;</part-name></score-part></part-list><part id="P1"><!-- of a part -->
	<measure number="1" width="77"><!-- of a measure --><?pi of a measure?>
	<direction><direction-type><words default-y="5">A&#233;</words></direction-type><odd>direction</odd></direction>
	<note default-x="33"><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><odd>note</odd>
	<notations><odd>notation</odd></notations></note><odd>measure</odd></measure></part></score-partwise>`
	const file = `<!DOCTYPE score-partwise PUBLIC "-//x" "y"><!-- of the file --><score-partwise version="3.1">` + music
	doc, err := Read(strings.NewReader(file), "file", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	var same, out bytes.Buffer
	if err := errors.Join(doc.Write(&same, doc.Score()), doc.Write(&out, anew(doc.Score()))); err != nil {
		t.Fatal(err)
	}
	if same.String() != xmlDeclaration+file {
		t.Errorf("the unchanged score is\n%s", same.String())
	}
	for _, kept := range []string{"version=\"4.0\"", "<scaling>", "Né", "Aé", "<odd>notation</odd>", "<odd>measure</odd>"} {
		if !strings.Contains(out.String(), kept) {
			t.Errorf("no %s in\n%s", kept, out.String())
		}
	}
	for _, lost := range []string{"DOCTYPE", "<!--", "<?pi", "width", "default-", "supports", "word-font", "<odd>note<", "<odd>direction<"} {
		if strings.Contains(out.String(), lost) {
			t.Errorf("%s in\n%s", lost, out.String())
		}
	}
	_, err = Read(strings.NewReader(`<!DOCTYPE score-partwise [<!ENTITY e "x">]><score-partwise><movement-title>&e;</movement-title>`+music), "file", Limits{})
	if err == nil || !strings.Contains(err.Error(), "entity") {
		t.Errorf("an entity of a DTD: error %v", err)
	}
}

// TestManyOverOneMeasure: a measure of very many directions and clefs takes no
// more than its share of time (a twentieth of the limit here; eight seconds
// where each was looked for among all).
func TestManyOverOneMeasure(t *testing.T) {
	const n = 16000
	m := &score.Measure{Number: "1", Length: score.Quarters(n)}
	for i := range int64(n) {
		at := score.Quarters(i)
		m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: at, Length: score.Quarter, Pitch: score.Spell(60)})
		m.Directions = append(m.Directions, score.Direction{Onset: at, Staff: 1, Voice: 1, Signs: []score.Sign{{Name: "words", Text: "x"}}})
		m.Clefs = append(m.Clefs, score.ClefChange{Onset: at, Staff: 1, Clef: score.Treble})
	}
	start := time.Now()
	if err := Write(io.Discard, scoreOf(m)); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(start); took > 4*time.Second {
		t.Errorf("%v", took)
	} else {
		t.Log(took)
	}
}

// TestSignatureOfNoStaff: a file may have a signature for a staff that is not
// there; it is written all the same.
func TestSignatureOfNoStaff(t *testing.T) {
	const file = `<score-partwise><part id="P1"><measure number="1"><attributes><key number="2"><fifths>1</fifths></key>
	<time number="9"><beats>4</beats><beat-type>4</beat-type></time><clef number="-1"><sign>F</sign></clef></attributes>
	<note><rest/><duration>1</duration></note></measure></part></score-partwise>`
	doc, err := Read(strings.NewReader(file), "file", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if err := doc.Write(io.Discard, anew(doc.Score())); err != nil {
		t.Error(err)
	}
}
