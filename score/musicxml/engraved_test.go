package musicxml

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// engraved is a measure of 4/4 with this content, under 12 divisions of a
// quarter note, written anew without line ends and indentation, and read
// again.
func engraved(t *testing.T, content string) (text string, again *score.Measure) {
	t.Helper()
	const head = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">` +
		`<attributes><divisions>12</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`
	doc, err := Read(strings.NewReader(head+content+`</measure></part></score-partwise>`), "file", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := doc.Write(&out, anew(doc.Score())); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(out.String()) {
		text += strings.TrimSpace(line)
	}
	back, err := Read(&out, "again", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return text, back.Score().Parts[0].Measures[0]
}

const (
	wholeC    = `<note><pitch><step>C</step><octave>5</octave></pitch><duration>48</duration><type>whole</type></note>`
	quarterC  = `<note><pitch><step>C</step><octave>5</octave></pitch><duration>12</duration><type>quarter</type></note>`
	halfRestX = `<note><rest><display-step>B</display-step><display-octave>5</display-octave></rest><duration>24</duration></note>`
)

// TestEngravedKeeps: what a file says beside notes and lengths, counted in
// other divisions where it counts in these.
func TestEngravedKeeps(t *testing.T) {
	for _, c := range []struct{ name, content, want string }{
		{"dots of a grace note", `<note><grace slash="yes"/><pitch><step>D</step><octave>5</octave></pitch><type>eighth</type><dot/></note>` + wholeC,
			`<grace slash="yes"/><pitch><step>D</step><octave>5</octave></pitch><voice>1</voice><type>eighth</type><dot/>`},
		{"time of a grace note", `<note><grace make-time="6"/><pitch><step>D</step><octave>5</octave></pitch><type>half</type></note>` + wholeC,
			`<divisions>1</divisions>|<grace make-time="0.5"/>|<type>half</type>`},
		{"length of a figured bass", `<figured-bass><figure><figure-number>6</figure-number></figure><duration>6</duration></figured-bass>` + wholeC,
			`<divisions>2</divisions>|</figure><duration>1</duration></figured-bass>`},
		{"a length that is no number", `<figured-bass><figure><figure-number>6</figure-number></figure><duration>x</duration></figured-bass>` + wholeC,
			`</figure><duration>x</duration></figured-bass>`},
		{"attack and release", strings.Replace(wholeC, "<note", `<note attack="-3" release="6" dynamics="80" color="#FF0000"`, 1),
			`<note attack="-0.25" release="0.5" dynamics="80" color="#FF0000">`},
		{"attack of a note in two pieces", `<note attack="3" release="6"><pitch><step>C</step><octave>5</octave></pitch><duration>30</duration></note><note><rest/><duration>18</duration></note>`,
			`<note attack="0.5"><pitch>|<note release="1"><pitch>`},
		{"where a rest stands", halfRestX + halfRestX, `<rest><display-step>B</display-step><display-octave>5</display-octave></rest>`},
		{"a cue rest", `<note><cue/><rest/><duration>24</duration></note><note><pitch><step>C</step><octave>5</octave></pitch><duration>24</duration></note>`, `<cue/><rest/><duration>`},
		{"words of a rest", `<note><rest/><duration>48</duration><lyric><text>hm</text></lyric></note>`, `<lyric><text>hm</text></lyric></note>`},
		{"an accidental in brackets", `<note><pitch><step>C</step><octave>5</octave></pitch><duration>48</duration><accidental editorial="yes" bracket="yes">natural</accidental></note>`,
			`<accidental editorial="yes" bracket="yes">natural</accidental>`},
		{"a dashed tie", quarterC[:len(quarterC)-len("</note>")] + `<tie type="start"/><notations><tied type="start" line-type="dashed" default-y="4"/></notations></note>` +
			`<note><pitch><step>C</step><octave>5</octave></pitch><duration>36</duration><tie type="stop"/></note>`,
			`<tied type="start" line-type="dashed"/>|<tied type="stop"/>`},
		{"a tempo mark for all parts", `<direction directive="yes" system="only-top" placement="above"><direction-type><words>Lento</words></direction-type></direction>` + wholeC,
			`<direction placement="above" directive="yes" system="only-top">`},
		{"swing and pedals", `<sound damper-pedal="yes"><swing><straight/></swing></sound>` + wholeC, `<sound damper-pedal="yes"><swing><straight/></swing></sound>`},
		{"an offset of words", `<direction><direction-type><words>x</words></direction-type><offset>3</offset><sound tempo="90"><offset>3</offset></sound></direction>` + wholeC,
			`<divisions>4</divisions>|<backup><duration>15</duration></backup><direction><direction-type><words>x</words></direction-type><sound tempo="90"/></direction><forward><duration>15</duration></forward>`},
		{"an offset of a chord symbol", `<harmony><root><root-step>C</root-step></root><kind>major</kind><offset>24</offset></harmony>` + wholeC,
			`<divisions>1</divisions>|<backup><duration>2</duration></backup><harmony>|</kind></harmony><forward><duration>2</duration></forward>`},
		{"an offset of what a machine listens for", `<listening><sync type="event"/><offset>12</offset></listening>` + wholeC,
			`<backup><duration>3</duration></backup><listening><sync type="event"/></listening>`},
		{"a clef between the notes", `<forward><duration>4</duration></forward><attributes><clef><sign>F</sign><line>4</line></clef></attributes><backup><duration>4</duration></backup>` + wholeC,
			`<divisions>3</divisions>|<backup><duration>11</duration></backup><attributes><clef>`},
		{"a dotted line between the notes", `<forward><duration>4</duration></forward><barline location="middle"><bar-style>dotted</bar-style></barline><backup><duration>4</duration></backup>` + wholeC,
			`<divisions>3</divisions>|<backup><duration>11</duration></backup><barline location="middle">`},
		{"a fanned beam", strings.Repeat(`<note><pitch><step>C</step><octave>5</octave></pitch><duration>6</duration><type>eighth</type><beam number="1" fan="accel">begin</beam></note>`, 8),
			`<beam number="1" fan="accel">begin</beam>`},
		{"beats of twelfths", `<attributes><time><beats>12</beats><beat-type>12</beat-type></time></attributes>` + wholeC, `<beat-type>12</beat-type>`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text, _ := engraved(t, c.content)
			for want := range strings.SplitSeq(c.want, "|") {
				if !strings.Contains(text, want) {
					t.Errorf("no %s in\n%s", want, text)
				}
			}
		})
	}
}

// TestSignAtEnd: a sign over a grace note at the very end of a measure stays
// there, before the note.
func TestSignAtEnd(t *testing.T) {
	grace := `<note><grace/><pitch><step>D</step><octave>5</octave></pitch><type>16th</type><notations><fermata/></notations></note>`
	text, m := engraved(t, wholeC+`<direction><direction-type><words>end</words></direction-type></direction>`+grace)
	if len(m.Directions) != 1 || m.Directions[0].Onset != m.Length || len(m.Notes) != 2 || len(m.Notes[1].Marks) != 1 {
		t.Errorf("directions %+v, notes %+v", m.Directions, m.Notes)
	}
	if strings.Index(text, "<words>end") > strings.Index(text, "<grace/>") {
		t.Errorf("the words come after the note in\n%s", text)
	}
}

// TestNestedTuplets: the brackets and ratios of nested tuplets are read and
// written again, with the chords and rests in them.
func TestNestedTuplets(t *testing.T) {
	note := func(step string, duration, actual, normal int, notations string) string {
		return fmt.Sprintf(`<note><pitch><step>%s</step><octave>4</octave></pitch><duration>%d</duration>`+
			`<time-modification><actual-notes>%d</actual-notes><normal-notes>%d</normal-notes></time-modification>%s</note>`, step, duration, actual, normal, notations)
	}
	bracket := func(kind string, number int) string {
		return fmt.Sprintf(`<notations><tuplet type="%s" number="%d"/></notations>`, kind, number)
	}
	declared := `<notations><tuplet type="start" number="1"><tuplet-actual><tuplet-number>3</tuplet-number></tuplet-actual><tuplet-normal><tuplet-number>2</tuplet-number></tuplet-normal></tuplet>` +
		`<tuplet type="start" number="2"/></notations>`
	// Under 9 divisions a triplet of two beats has 6 each, one inside it 2.
	for _, c := range []struct{ name, notes, want string }{
		{"in the middle", note("C", 6, 3, 2, bracket("start", 1)) + note("D", 2, 9, 4, bracket("start", 2)) + note("E", 2, 9, 4, "") +
			note("F", 2, 9, 4, bracket("stop", 2)) + note("G", 6, 3, 2, bracket("stop", 1)),
			"C3:2 start1, D9:4/3:2 start2, E9:4/3:2, F9:4/3:2 stop2, G3:2 stop1"},
		{"first, with a chord", note("C", 2, 9, 4, declared) + strings.Replace(note("E", 2, 9, 4, ""), "<note>", "<note><chord/>", 1) + note("D", 2, 9, 4, "") + note("E", 2, 9, 4, bracket("stop", 2)) +
			strings.Replace(note("G", 2, 9, 4, ""), "<note>", "<note><chord/>", 1) + note("F", 6, 3, 2, "") + note("G", 6, 3, 2, bracket("stop", 1)),
			"C9:4/3:2 start1 start2, E9:4/3:2, D9:4/3:2, E9:4/3:2 stop2, G9:4/3:2, F3:2, G3:2 stop1"},
		{"not said", note("C", 6, 3, 2, bracket("start", 1)) + note("D", 2, 9, 4, "") + note("E", 2, 9, 4, "") + note("F", 2, 9, 4, "") + note("G", 6, 3, 2, bracket("stop", 1)),
			"C9:8 start1, D9:8, E9:8, F9:8, G9:8 stop1"},
		{"of different types", note("C", 6, 3, 2, bracket("start", 1)) + note("D", 2, 9, 4, strings.Replace(declared, "<tuplet-actual>", "<tuplet-actual><tuplet-type>half</tuplet-type>", 1)) + note("E", 4, 9, 4, bracket("stop", 2)) + note("G", 6, 3, 2, bracket("stop", 1)),
			"C3:2 start1, D9:4/3:2 start2, E9:4/3:2 stop2, G3:2 stop1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := `<score-partwise><part id="P1"><measure number="1"><attributes><divisions>9</divisions><time><beats>2</beats><beat-type>4</beat-type></time></attributes>` +
				c.notes + `</measure></part></score-partwise>`
			var got []string
			for range 2 { // as read, and as read from what was written
				doc, err := Read(strings.NewReader(text), "file", Limits{})
				if err != nil {
					t.Fatal(err)
				}
				var out bytes.Buffer
				if err := doc.Write(&out, anew(doc.Score())); err != nil {
					t.Fatal(err)
				}
				text = out.String()
				if doc, err = Read(&out, "again", Limits{}); err != nil {
					t.Fatal(err)
				}
				got = append(got, tupletText(doc))
			}
			if diff := cmp.Diff([]string{c.want, c.want}, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// tupletText shows the ratios and brackets of the first measure.
func tupletText(doc *Document) string {
	var notes []string
	for i := range doc.Score().Parts[0].Measures[0].Notes {
		n := &doc.Score().Parts[0].Measures[0].Notes[i]
		text := fmt.Sprintf("%s%d:%d", n.Pitch.Step, n.Ratio.Actual, n.Ratio.Normal)
		if n.Outer.Actual > 0 {
			text += fmt.Sprintf("/%d:%d", n.Outer.Actual, n.Outer.Normal)
		}
		if all := doc.element(n.Source).SelectElement("notations"); all != nil {
			for _, b := range all.SelectElements("tuplet") {
				text += " " + attr(b, "type") + attr(b, "number")
			}
		}
		notes = append(notes, text)
	}
	return strings.Join(notes, ", ")
}

// TestMadeBarline: all that a barline made by a pass says is written.
func TestMadeBarline(t *testing.T) {
	made := score.Barline{
		Onset: score.Whole, Location: "right", Style: "light-heavy", Repeat: "backward", Times: 3, AfterJump: true,
		Ending: score.Ending{Numbers: "1, 2", Type: "stop"}, Segno: true, Coda: true, SegnoLabel: "s", CodaLabel: "c",
	}
	m := &score.Measure{Number: "1", Length: score.Whole, Barlines: []score.Barline{made}}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
	var out bytes.Buffer
	if err := blank(t).Write(&out, s); err != nil {
		t.Fatal(err)
	}
	back, err := Read(&out, "made", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	got := back.Score().Parts[0].Measures[0].Barlines[0]
	got.Source = 0
	if diff := cmp.Diff(made, got, cmp.Comparer(func(a, b score.Time) bool { return a == b })); diff != "" {
		t.Error(diff)
	}
}
