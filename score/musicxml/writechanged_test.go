package musicxml

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

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
