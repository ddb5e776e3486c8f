package musicxml

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// sharedScores are the real scores beside the project, or none: tests that
// need them skip loudly.
func sharedScores(t testing.TB) []string {
	t.Helper()
	var files []string
	for _, pattern := range []string{"*.musicxml", "*.mxl"} {
		found, err := filepath.Glob(filepath.Join("..", "..", "..", "shared", "scores", pattern))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	if len(files) == 0 {
		t.Skip("SKIPPED: ../shared/scores is not here")
	}
	return files
}

func readFile(t testing.TB, path string) *Document {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	doc, err := Read(f, filepath.Base(path), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestReadSharedScores(t *testing.T) {
	for _, path := range sharedScores(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			s := readFile(t, path).Score()
			tones := s.Tones()
			if len(tones) == 0 {
				t.Error("no tones")
			}
			t.Logf("%q %v parts %d measures %d tones %d, %v to %v, length %v", s.Title, s.Composers, len(s.Parts), s.MeasureCount(), len(tones), tones[0].Onset, tones[len(tones)-1].Onset, s.Starts()[s.MeasureCount()])
		})
	}
}

func TestBadInput(t *testing.T) {
	const head = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1">`
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "the file is empty"},
		{"not XML", "just words", "not MusicXML: it is neither XML nor a ZIP archive"},
		{"HTML", "<html><body/></html>", "not MusicXML: the root element is <html>"},
		{"cut off", head + "<measure number=\"1\"><note>", "line 1: the file ends inside <note>"},
		{"wrong nesting", "<score-partwise>\n<part></measure>", "line 2: </measure> closes nothing that is open"},
		{"unknown entity", "<score-partwise>&nothing;</score-partwise>", "line 1: not well-formed XML: invalid character entity &nothing;: export it again"},
		{"no measure", head + "</part></score-partwise>", "the score is empty"},
		{"no part", "<score-partwise/>", "the score is empty"},
		{"bad pitch", head + `<measure number="7"><note><pitch><step>H</step><octave>4</octave></pitch><duration>1</duration></note></measure></part></score-partwise>`, `part P1, measure 7, beat 1: no such pitch: step "H", alter "", octave "4": steps are A to G`},
		{"bad duration", head + `<measure number="8"><note><rest/><duration>x</duration></note></measure></part></score-partwise>`, `part P1, measure 8, beat 1: duration "x" is no number from 0 to 9999999999, with nine decimals at most: correct it`},
		{"deep", strings.Repeat("<a>", 100), "nested deeper than 64"},
		{"too fine", head + `<measure number="1">` + fineNote(1073741789) + fineNote(1073741783) + `</measure></part></score-partwise>`, "divides a quarter note into more than"},
		{"too fine by far", head + `<measure number="1"><attributes><divisions>17</divisions></attributes>` + restOf("3") + restOf("0.1") +
			`<attributes><divisions>1073741823</divisions></attributes>` + restOf("0.000000001") + `</measure></part></score-partwise>`, "divides a quarter note into more than"},
		{"too many summands", head + timeSignature("1"+strings.Repeat("+1", 64), 4) + `</part></score-partwise>`, "more than 64 numbers"},
		{"too many groups", head + timeSignature(strings.Repeat("1</beats><beat-type>4</beat-type><beats>", 64)+"1", 4) + `</part></score-partwise>`, "more than 64 numbers"},
		{"too many units", head + timeSignature("1</beats><beat-type>1021</beat-type><beats>1</beats><beat-type>1019</beat-type><beats>1</beats><beat-type>1013</beat-type><beats>"+
			"1</beats><beat-type>1009</beat-type><beats>1</beats><beat-type>997</beat-type><beats>1</beats><beat-type>991</beat-type><beats>1", 983) + `</part></score-partwise>`, "divides a quarter note too finely"},
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

// TestNamesOnOneLine: names for people have no line ends and no control
// characters, however the file is laid out; a long value does not make a long
// message.
func TestNamesOnOneLine(t *testing.T) {
	const text = "<score-partwise><work><work-title>Two\n  lines&#x85;and one</work-title></work><part-list>" +
		`<score-part id="P1"><part-name>Upper&#10;bells</part-name></score-part></part-list>` +
		`<part id="P1"><measure number="1&#10;undersong: &#x9b;2J">` + "<note><pitch><step>C</step><octave>%s</octave></pitch><duration>1</duration></note></measure></part></score-partwise>"
	doc, err := Read(strings.NewReader(fmt.Sprintf(text, "4")), "song.xml", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	s := doc.Score()
	if diff := cmp.Diff([]string{"Two lines and one", "Upper bells", "1 undersong: 2J"}, []string{s.Title, s.Parts[0].Name, s.Parts[0].Measures[0].Number}); diff != "" {
		t.Error(diff)
	}
	_, err = Read(strings.NewReader(fmt.Sprintf(text, strings.Repeat("9", 1e6))), "song.xml", Limits{})
	if err == nil || len(err.Error()) > 300 || strings.Contains(err.Error(), "\n") {
		t.Errorf("%.1000v", err)
	}
}

// fineNote is a note whose length divides a quarter note into so many parts.
func fineNote(divisions int) string {
	return fmt.Sprintf(`<attributes><divisions>%d</divisions></attributes><note><rest/><duration>1</duration></note>`, divisions)
}

func restOf(duration string) string {
	return `<note><rest/><duration>` + duration + `</duration></note>`
}

// timeSignature is a measure with nothing else.
func timeSignature(beats string, unit int) string {
	return fmt.Sprintf(`<measure number="1"><attributes><time><beats>%s</beats><beat-type>%d</beat-type></time></attributes></measure>`, beats, unit)
}

// TestLongestTime: a time signature of as many numbers as there may be is read.
func TestLongestTime(t *testing.T) {
	text := `<score-partwise><part id="P1">` + timeSignature("1"+strings.Repeat("+1", 63), 4) + `</part></score-partwise>`
	doc, err := Read(strings.NewReader(text), "song.xml", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if got := doc.Score().Parts[0].Measures[0].Length; got != score.Quarters(64) {
		t.Errorf("a measure of %s quarters, want 64", got)
	}
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
		{Limits{Bytes: math.MaxInt64, Ratio: math.MaxInt64, Depth: math.MaxInt, Nodes: math.MaxInt}, ""},
		{Limits{Bytes: -1}, "song.xml: a limit of -1 bytes"},
		{Limits{Ratio: -2}, "song.xml: a limit of -2 for the ratio"},
		{Limits{Depth: -3}, "song.xml: a limit of -3 nested elements"},
		{Limits{Nodes: -4}, "song.xml: a limit of -4 nodes"},
	} {
		_, err := Read(bytes.NewReader(out.Bytes()), "song.xml", c.limits)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%+v: error %v, want %q", c.limits, err, c.want)
		}
		if large := c.limits.Bytes > 0 && c.want != "" || c.limits.Nodes == 20; errors.Is(err, ErrTooLarge) != large {
			t.Errorf("%+v: %v is of a limit of size: %v", c.limits, err, !large)
		}
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

// TestStylesheet: a stylesheet before the score is no XML declaration, and kept.
func TestStylesheet(t *testing.T) {
	const sheet = `<?xml-stylesheet href="bells.css"?>`
	doc, err := Read(strings.NewReader(sheet+titled("Bells")), "song.xml", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := doc.Write(&out, doc.Score()); err != nil || !strings.Contains(out.String(), sheet) {
		t.Errorf("written without the stylesheet, %v: %.100s", err, &out)
	}
}

// TestDamagedUTF16: half a character is an error, not another character.
func TestDamagedUTF16(t *testing.T) {
	for _, c := range []struct {
		name  string
		title []uint16
		cut   int
		want  string
	}{
		{"whole", []uint16{0xd834, 0xdd1e, 0xfffd}, 0, ""},
		{"first half alone", []uint16{'a', 0xd834, 'b'}, 0, "half a character"},
		{"second half alone", []uint16{0xdd1e}, 0, "half a character"},
		{"halves swapped", []uint16{0xdd1e, 0xd834}, 0, "half a character"},
		{"cut off", []uint16{'a'}, 1, "the file ends in the middle"},
	} {
		before, after, _ := strings.Cut(titled("|"), "|")
		units := slices.Concat([]uint16{0xfeff}, utf16.Encode([]rune(before)), c.title, utf16.Encode([]rune(after)))
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			var raw []byte
			for _, u := range units {
				raw = order.AppendUint16(raw, u)
			}
			if c.cut == 0 {
				raw = append(raw, '\n') // as some programs do
			}
			_, err := Read(bytes.NewReader(raw[:len(raw)-c.cut]), "song.xml", Limits{})
			if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("%s, %s: error %v, want %q", c.name, order, err, c.want)
			}
		}
	}
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
