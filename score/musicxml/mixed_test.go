package musicxml

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// TestMixed: measures that are engraved anew and measures that stay as they
// were read stand side by side, whatever divisions each of them counts in.
func TestMixed(t *testing.T) {
	for _, path := range append(glob(t, "*.musicxml"), glob(t, "odd/divisions*.musicxml")...) {
		for _, kept := range []func(i int) bool{
			func(i int) bool { return i%2 == 0 }, func(i int) bool { return i%2 == 1 },
			func(i int) bool { return i == 0 }, func(i int) bool { return i > 0 },
		} {
			doc := readFile(t, path)
			mixed := anew(doc.Score())
			for i, p := range mixed.Parts {
				for j := range p.Measures {
					if kept(j) {
						p.Measures[j] = doc.Score().Parts[i].Measures[j]
					}
				}
			}
			var out bytes.Buffer
			if err := doc.Write(&out, mixed); err != nil {
				t.Fatal(err)
			}
			again, err := Read(&out, filepath.Base(path), Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(sounds(doc.Score()), sounds(again.Score())); diff != "" {
				t.Errorf("%s: the notes differ (-read +written):\n%s", path, diff)
			}
		}
	}
}

// TestOutput: what a copied element holds is written as it was, and on a new
// page without its places.
func TestOutput(t *testing.T) {
	const text = `<a:x id="1" b="&lt;&amp;&quot;&#x9;"> t &amp;<b default-x="1" c="2"/><d>]]&gt;</d><![CDATA[<&]]></a:x>`
	for _, c := range []struct {
		name, text string
		newPage    bool
		want       string
	}{
		{"text and elements", text, false, text},
		{"on a new page", text, true, strings.NewReplacer(` id="1"`, "", ` default-x="1"`, "").Replace(text)},
		{"elements", "<a><b>x</b><!-- c --><?d e?><?f?><g/></a>", false, "<a>\n    <b>x</b>\n    <!-- c -->\n    <?d e?>\n    <?f?>\n    <g/>\n  </a>"},
		{"white space", "<a> <b>  </b> <c>\r&#13;</c></a>", false, "<a>\n    <b>  </b>\n    <c>\n&#xD;</c>\n  </a>"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out bytes.Buffer
			o := output{w: &out}
			o.start("top")
			o.copy(copyOf(t, c.text), c.newPage)
			o.end()
			if err := o.flush(true); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff("<top>\n  "+c.want+"\n</top>\n", out.String()); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func copyOf(t *testing.T, text string) *etree.Element {
	t.Helper()
	d := etree.NewDocument()
	d.ReadSettings.PreserveCData = true
	if err := d.ReadFromString(text); err != nil {
		t.Fatal(err)
	}
	root := d.Root()
	for _, c := range append([]etree.Token{}, root.Child...) { // the reader drops it too
		if s, ok := c.(*etree.CharData); ok && s.IsWhitespace() && !s.IsCData() {
			root.RemoveChild(c)
		}
	}
	return root
}

// TestOdd: what real files do though they should not is read, but for entities
// of a file's own, and engraved anew it is the same music.
func TestOdd(t *testing.T) {
	for _, path := range glob(t, "odd/*.musicxml") {
		name := filepath.Base(path)
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := Read(bytes.NewReader(text), name, Limits{})
		if name == "doctype-entity-used.musicxml" {
			if err == nil || !strings.Contains(err.Error(), "invalid character entity &tower;") {
				t.Errorf("%s: error %v", name, err)
			}
			continue
		}
		if err != nil {
			t.Error(err)
			continue
		}
		var out bytes.Buffer
		if err := doc.Write(&out, anew(doc.Score())); err != nil {
			t.Fatal(err)
		}
		again, err := Read(&out, name, Limits{})
		if err != nil {
			t.Errorf("written: %v", err)
			continue
		}
		if diff := cmp.Diff(sounds(doc.Score()), sounds(again.Score())); diff != "" {
			t.Errorf("%s: the notes differ (-read +written):\n%s", name, diff)
		}
	}
}

// full is a writer with no room.
type full struct{ room int }

func (f *full) Write(p []byte) (int, error) {
	if f.room -= len(p); f.room < 0 {
		return 0, errFull
	}
	return len(p), nil
}

var errFull = errors.New("no room")

// TestWriteFails: what the writer cannot take is an error, wherever it happens.
func TestWriteFails(t *testing.T) {
	doc, err := Read(bytes.NewReader(long(t, 500e3)), "long", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]*score.Score{"as it was": doc.Score(), "anew": anew(doc.Score())} {
		for _, room := range []int{0, 100, 200e3} {
			if err := doc.Write(&full{room}, s); !errors.Is(err, errFull) {
				t.Errorf("%s, room for %d: error %v", name, room, err)
			}
			if err := doc.WriteArchive(&full{room / 200}, s); !errors.Is(err, errFull) {
				t.Errorf("archive, %s, room for %d: error %v", name, room/200, err)
			}
		}
	}
}

// TestMadeSigns: directions and signs that a pass made are written with their
// kinds and numbers.
func TestMadeSigns(t *testing.T) {
	sign := func(name, kind string, number int) score.Direction {
		return score.Direction{Staff: 1, Voice: 2, Placement: "below", Signs: []score.Sign{{Name: name, Type: kind, Number: number}}}
	}
	end := sign("wedge", "stop", 2)
	end.Onset = score.Whole
	m := &score.Measure{
		Number: "1", Length: score.Whole,
		Notes: []score.Note{{Staff: 1, Voice: 2, Length: score.Whole, Pitch: score.Spell(60), Marks: []score.Mark{
			{Name: "slur", Type: "start", Number: 3}, {Name: "slur", Type: "stop", Number: 1}, {Name: "tremolo", Group: "ornaments", Type: "single", Number: 1},
		}}},
		Directions: []score.Direction{sign("wedge", "crescendo", 2), end, {Signs: []score.Sign{{Name: "words", Text: "a < b"}}}, {}},
		Others:     nil,
		Times:      []score.TimeChange{{}},
		Keys:       []score.KeyChange{{Key: score.KeySignature{Mode: "minor"}}},
		Transposes: []score.TransposeChange{{Transposition: score.Transposition{Letters: -8, Semitones: -14}}},
	}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
	var out bytes.Buffer
	if err := blank(t).Write(&out, s); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`<wedge type="crescendo" number="2"/>`, `<wedge type="stop" number="2"/>`, `<direction placement="below">`, "<words>a &lt; b</words>",
		`<slur type="start" number="3"/>`, `<slur type="stop"/>`, `<tremolo type="single"/>`, "<senza-misura/>", "<mode>minor</mode>",
		"<diatonic>-1</diatonic>", "<chromatic>-2</chromatic>", "<octave-change>-1</octave-change>",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %s in\n%s", want, out.String())
		}
	}
	if strings.Count(out.String(), "<direction") != 6 { // three with their types; the empty one says nothing
		t.Errorf("directions in\n%s", out.String())
	}
}

// TestBadMeasures: what cannot be counted is told with its place, once, and no more
// than twenty of it.
func TestBadMeasures(t *testing.T) {
	const head = `<score-partwise><part id="P1"><measure number="7">`
	const tail = `</measure></part></score-partwise>`
	rest := func(duration string) string { return "<note><rest/><duration>" + duration + "</duration></note>" }
	for _, c := range []struct{ name, content, want string }{
		{"divisions", "<attributes><divisions>0</divisions></attributes>", `divisions "0": a quarter note has 1 to 1073741824`},
		{"staves", "<attributes><staves>99</staves></attributes>", `"99" staves: a part has 1 to 32`},
		{"key", "<attributes><key><fifths>20</fifths></key></attributes>", `a key of "20" fifths`},
		{"beats too fine", "<attributes><time><beats>1</beats><beat-type>1021</beat-type></time></attributes><attributes><time><beats>1</beats><beat-type>1019</beat-type></time></attributes>" +
			"<attributes><time><beats>1</beats><beat-type>1013</beat-type></time></attributes>", "divides a quarter note too finely"},
		{"neither duration nor type", "<note><rest/></note>", "a <note> has neither duration nor type"},
		{"offset", "<direction><direction-type><words>x</words></direction-type><offset>y</offset></direction>", `offset "y" is not a number`},
		{"staff", "<note><rest/><duration>1</duration><staff>33</staff></note>", `staff "33": a part has 1 to 32`},
		{"long measure", strings.Repeat(rest("60000"), 2), "the measure is longer than the limit of 65536"},
		{"many problems", strings.Repeat(rest("x")+rest("y"), 15), "and more: these are the first"},
		{"a problem many times", strings.Repeat(rest("x"), 30) + rest("y"), `duration "y"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(head+c.content+tail), "song.xml", Limits{})
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "song.xml, part P1") {
				t.Errorf("error %v, want %q", err, c.want)
			}
			if n := strings.Count(err.Error(), "\n"); n > 20 {
				t.Errorf("%d lines of problems", n+1)
			}
		})
	}
}

// TestWrittenLength: a note that says no duration lasts as long as it is
// written.
func TestWrittenLength(t *testing.T) {
	const text = `<score-partwise><part id="P1"><measure number="1"><note><rest/><type>half</type><dot/><dot/></note>` +
		`<note><rest/><type>quarter</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification></note></measure></part></score-partwise>`
	doc, err := Read(strings.NewReader(text), "file", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, n := range doc.Score().Parts[0].Measures[0].Notes {
		got = append(got, n.Length.String())
	}
	if diff := cmp.Diff([]string{"7/2", "2/3"}, got); diff != "" {
		t.Error(diff)
	}
}
