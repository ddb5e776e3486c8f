package musicxml

import (
	"bytes"
	"encoding/json"
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
	if text, _, err = decode(text); err != nil {
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
