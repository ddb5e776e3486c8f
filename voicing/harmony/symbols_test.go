package harmony

import (
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/musicxml"
)

// withSymbols is a score of one measure of 4/4 with a C in it and these
// harmony elements, each a quarter after the one before.
func withSymbols(t *testing.T, key string, harmonies ...string) *score.Score {
	t.Helper()
	text := `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">
<attributes><divisions>1</divisions>` + key + `<time><beats>4</beats><beat-type>4</beat-type></time></attributes>`
	for i := range 4 {
		if i < len(harmonies) {
			text += "<harmony>" + harmonies[i] + "</harmony>"
		}
		text += "<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration></note>"
	}
	doc, err := musicxml.Read(strings.NewReader(text+"</measure></part></score-partwise>"), "test", musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc.Score()
}

// TestSymbols reads what the W3C's MusicXML 4.0 allows in a harmony: roots,
// numerals, functions, basses, inversions, and the kind "none".
func TestSymbols(t *testing.T) {
	const (
		c         = `<root><root-step>C</root-step></root>`
		signature = `<key><fifths>-3</fifths><mode>minor</mode></key>`
	)
	for _, test := range []struct{ what, key, harmony, want string }{
		{"a root", "", c + `<kind text="m7">minor-seventh</kind>`, "Cm7"},
		{"a bass", "", c + `<kind>major</kind><bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>`, "C/Bb"},
		{"an inversion", "", c + `<kind>dominant</kind><inversion>3</inversion>`, "C7/Bb"},
		{"root position", "", c + `<kind>dominant</kind><inversion>0</inversion>`, "C7"},
		{"an inversion beyond the chord", "", c + `<kind>major</kind><inversion>3</inversion>`, "C"},
		{"a numeral in the key in force", signature, `<numeral><numeral-root>5</numeral-root></numeral><kind>dominant</kind>`, "G7"},
		{"the sixth degree of natural minor", signature, `<numeral><numeral-root>6</numeral-root></numeral><kind>major</kind>`, "Ab"},
		{"a numeral that is altered", signature, `<numeral><numeral-root>2</numeral-root><numeral-alter>-1</numeral-alter></numeral><kind>Neapolitan</kind>`, "Db Neapolitan/F"},
		{"a numeral in a key of its own", signature, `<numeral><numeral-root>7</numeral-root><numeral-key><numeral-fifths>0</numeral-fifths><numeral-mode>harmonic minor</numeral-mode></numeral-key></numeral><kind>diminished-seventh</kind>`, "G#dim7"},
		{"degree six of melodic minor", "", `<numeral><numeral-root>6</numeral-root><numeral-key><numeral-fifths>0</numeral-fifths><numeral-mode>melodic minor</numeral-mode></numeral-key></numeral><kind>diminished</kind>`, "F#dim"},
		{"no chord", "", `<root><root-step text="">C</root-step></root><kind text="N.C.">none</kind>`, "N.C."},
		{"no chord in words", "", c + `<kind text="No Chord">none</kind>`, "N.C."},
	} {
		s := withSymbols(t, test.key, test.harmony)
		got := Find(s, s.Tones(), nil)
		if len(got) != 1 || !got[0].Given || Name(got[0].Chord) != test.want {
			t.Errorf("%s: %s, want %s", test.what, names(got), test.want)
		}
	}
}

// TestLabelsSayNothing: where an analysis has a label, the notes decide.
func TestLabelsSayNothing(t *testing.T) {
	for what, harmony := range map[string]string{
		"a label":               `<root><root-step text="">C</root-step></root><kind text="I6">none</kind>`,
		"no text":               `<root><root-step>C</root-step></root><kind>none</kind>`,
		"a root without a name": `<root><root-step>H</root-step></root><kind>major</kind>`,
		"a root far off":        `<root><root-step>C</root-step><root-alter>1e308</root-alter></root><kind>major</kind>`,
		"a function":            `<function>V</function><kind>major</kind>`,
		"a function of another": `<numeral><numeral-root>5</numeral-root></numeral><kind>major</kind><numeral><numeral-root>2</numeral-root></numeral><kind>minor</kind>`,
	} {
		s := withSymbols(t, "", harmony)
		for _, span := range Find(s, s.Tones(), nil) {
			if span.Given {
				t.Errorf("%s says %s", what, Name(span.Chord))
			}
		}
	}
}

// TestSymbolsHold: each until the next; one that says nothing ends it, unless
// it stands beside one that says something.
func TestSymbolsHold(t *testing.T) {
	symbol := func(step string) string {
		return `<root><root-step>` + step + `</root-step></root><kind>major</kind>`
	}
	const nothing, none = `<function>V</function><kind>none</kind>`, `<root><root-step text="">C</root-step></root><kind text="N.C.">none</kind>`
	s := withSymbols(t, "", symbol("F"), symbol("A"), none, symbol("F"))
	if got, want := names(Find(s, s.Tones(), nil)), "0 F | 1 A | 2 N.C. | 3 F"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	s = withSymbols(t, "", symbol("F"), nothing, symbol("A")+"</harmony><harmony>"+nothing)
	spans := Find(s, s.Tones(), nil)
	if len(spans) != 3 || spans[1].Given || !spans[2].Given || Name(spans[2].Chord) != "A" {
		t.Errorf("%s", names(spans))
	}
}
