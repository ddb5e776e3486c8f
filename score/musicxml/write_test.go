package musicxml

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

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

// TestUnchanged: a score that is written as it was read has the same text.
func TestUnchanged(t *testing.T) {
	files := append(glob(t, "*.musicxml"), glob(t, "encodings/*.musicxml")...)
	files = append(files, glob(t, "../forms/*.musicxml")...)
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
		again, err := Read(&out, path, Limits{})
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		if again.tree.Text[1:] != doc.tree.Text {
			t.Errorf("%s: the text is not what was read", path)
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

func TestEncodings(t *testing.T) {
	list, err := os.ReadFile(filepath.Join(roundtrip, "encodings", "titles.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(list)) {
		file, title, found := strings.Cut(strings.TrimRight(line, "\n"), "\t")
		if !found || strings.HasPrefix(file, "#") || file == "file" {
			continue
		}
		t.Run(file, func(t *testing.T) {
			if got := readFile(t, filepath.Join(roundtrip, "encodings", file)).Score().Title; got != title {
				t.Errorf("title %q, want %q", got, title)
			}
		})
	}
}

func TestArchives(t *testing.T) {
	broken := map[string]string{
		"truncated.mxl":      "archive is broken",
		"checksum-wrong.mxl": "cannot be unpacked",
		"score-none.mxl":     "holds no score",
	}
	for _, path := range glob(t, "archives/*.mxl") {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) {
			f, err := os.Open(path)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			doc, err := Read(f, name, Limits{})
			switch want := broken[name]; {
			case want != "":
				if err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), name+":") {
					t.Errorf("error %v, want one that says %q", err, want)
				}
			case err != nil:
				t.Error(err)
			case name != "container-none-two-scores.mxl" && doc.Score().Title != "The right score":
				t.Errorf("read %q", doc.Score().Title)
			}
		})
	}
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

func TestBadInput(t *testing.T) {
	const head = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1">`
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "the file is empty"},
		{"not XML", "just words", "not XML: it has 0 root elements"},
		{"HTML", "<html><body/></html>", "not MusicXML: the root element is <html>"},
		{"cut off", head + "<measure number=\"1\"><note>", "line 1: the file ends inside <note>"},
		{"wrong nesting", "<score-partwise>\n<part></measure>", "line 2: </measure> closes nothing that is open"},
		{"unknown entity", "<score-partwise>&nothing;</score-partwise>", "line 1: not well-formed XML"},
		{"no measure", head + "</part></score-partwise>", "the score is empty"},
		{"no part", "<score-partwise/>", "the score is empty"},
		{"bad pitch", head + `<measure number="7"><note><pitch><step>H</step><octave>4</octave></pitch><duration>1</duration></note></measure></part></score-partwise>`, "part P1, measure 7: no such pitch"},
		{"bad duration", head + `<measure number="8"><note><rest/><duration>x</duration></note></measure></part></score-partwise>`, `part P1, measure 8: duration "x"`},
		{"deep", strings.Repeat("<a>", 100), "nested deeper than 64"},
		{"too fine", head + `<measure number="1">` + fineNote(1073741789) + fineNote(1073741783) + `</measure></part></score-partwise>`, "divides a quarter note into more than"},
		{"far transposition", head + `<measure number="1"><attributes><transpose><chromatic>900</chromatic></transpose></attributes></measure></part></score-partwise>`, "a transposition by 900 semitones"},
		{"no beat type", head + `<measure number="1"><attributes><time><beats>4</beats><beat-type>0</beat-type></time></attributes></measure></part></score-partwise>`, `time signature "4"/"0": both are whole numbers from 1 to 1024`},
		{"endless", head + `<measure number="1"><note><rest/><duration>9999999999</duration></note></measure></part></score-partwise>`, "longer than the limit"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(c.text), "song.xml", Limits{})
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "song.xml") {
				t.Errorf("error %v, want song.xml: … %q", err, c.want)
			}
		})
	}
}

// fineNote is a note whose length divides a quarter note into so many parts.
func fineNote(divisions int) string {
	return fmt.Sprintf(`<attributes><divisions>%d</divisions></attributes><note><rest/><duration>1</duration></note>`, divisions)
}

// TestDoctype: a document type is never fetched, and a score with one is read.
func TestDoctype(t *testing.T) {
	text := `<?xml version="1.0"?><!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 3.1 Partwise//EN" "http://127.0.0.1:9/none.dtd">` +
		`<score-partwise><part id="P1"><measure number="1"><note><rest/><duration>1</duration></note></measure></part></score-partwise>`
	if _, err := Read(strings.NewReader(text), "song.xml", Limits{}); err != nil {
		t.Error(err)
	}
}

func TestLimits(t *testing.T) {
	doc := readFile(t, filepath.Join(roundtrip, "ties-over-gap.musicxml"))
	var out bytes.Buffer
	if err := doc.Write(&out, doc.Score()); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		limits Limits
		want   string
	}{
		{Limits{}, ""},
		{Limits{Bytes: 100}, "song.xml: too large: more than 100 bytes"},
		{Limits{Depth: 3}, "line 10: elements nested deeper than 3"},
		{Limits{Nodes: 20}, "more than 20 elements, attributes and texts"},
	} {
		_, err := Read(bytes.NewReader(out.Bytes()), "song.xml", c.limits)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%+v: error %v, want %q", c.limits, err, c.want)
		}
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

// TestCancelled: reading stops when its context is done.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := ReadContext(ctx, strings.NewReader("<score-partwise/>"), "song.xml", Limits{})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that of the context", err)
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
