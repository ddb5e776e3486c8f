package musicxml

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestNotices: what is likely wrong in a file is told, each in a line.
func TestNotices(t *testing.T) {
	const (
		list  = `<part-list><score-part id="P1"><part-name>Bells</part-name></score-part></part-list>`
		begin = `<measure number="1"><attributes><divisions>2</divisions><time><beats>3</beats><beat-type>4</beat-type></time></attributes>`
		half  = `<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note>`
		rest  = `<note><rest/><duration>2</duration></note>`
	)
	full := half + rest + `</measure>`
	for _, c := range []struct {
		name, text string
		want       []string // how each notice begins
	}{
		{"nothing", list + `<part id="P1">` + begin + full + `</part>`, nil},
		{"too long", list + `<part id="P1">` + begin + rest + full + `</part>`, []string{"part Bells, measure 1 has 4 quarter notes, 3/4 holds 3: "}},
		{"too short", list + `<part id="P1">` + begin + full + `<measure number="2">` + half + `</measure><measure number="3">` + full + `</part>`,
			[]string{"part Bells, measure 2 has 2 quarter notes, 3/4 holds 3: "}},
		{"a voice that ends early", list + `<part id="P1">` + begin + full + `<measure number="2">` + half + rest + `<backup><duration>6</duration></backup>` + half +
			`</measure><measure number="3">` + full + `</part>`, nil},
		{"another id", list + `<part id="P2">` + begin + full + `</part>`, []string{`the part-list has no score-part of the id "P2", `}},
		{"no divisions", list + `<part id="P1">` + strings.Replace(begin, "<divisions>2</divisions>", "", 1) + rest + `<note><rest/><duration>1</duration></note></measure></part>`,
			[]string{`part "P1" has durations before it says its divisions`}},
		{"not UTF-8", "<movement-title>\n\xe9</movement-title>" + list + `<part id="P1">` + begin + full + `</part>`, []string{"line 2 is not in UTF-8, as the file should be"}},
	} {
		doc, err := Read(strings.NewReader("<score-partwise>"+c.text+"</score-partwise>"), c.name, Limits{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := doc.Score().Notices
		ok := len(got) == len(c.want)
		for i := range min(len(got), len(c.want)) {
			ok = ok && strings.HasPrefix(got[i], c.want[i])
		}
		if !ok {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	latin := `<?xml version="1.0" encoding="ISO-8859-1"?>` + "<score-partwise><movement-title>\xe9</movement-title>" + list + `<part id="P1">` + begin + full + `</part></score-partwise>`
	if doc, err := Read(strings.NewReader(latin), "latin", Limits{}); err != nil || len(doc.Score().Notices) > 0 {
		t.Errorf("an encoding that is said: %v, %q", err, doc.Score().Notices)
	}
}

// TestNoNotices: of sound scores nothing is told.
func TestNoNotices(t *testing.T) {
	files := sharedScores(t)
	for _, pattern := range []string{"../../examples/*/*.musicxml", "../../testdata/*/*.musicxml"} {
		found, err := filepath.Glob(filepath.FromSlash(pattern))
		if err != nil || len(found) == 0 {
			t.Fatalf("%s: %v, %v", pattern, found, err)
		}
		files = append(files, found...)
	}
	for _, path := range files {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := Read(f, path, Limits{})
		f.Close()
		if err == nil && len(doc.Score().Notices) > 0 {
			t.Errorf("%s: %q", path, doc.Score().Notices)
		}
	}
}
