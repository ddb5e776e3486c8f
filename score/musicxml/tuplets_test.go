package musicxml

import (
	"strings"
	"testing"

	"undersong/score"
)

// TestUnclosedTuplets: however many tuplets a voice opens, few are followed,
// and the outermost still counts.
func TestUnclosedTuplets(t *testing.T) {
	note := `<note><rest/><duration>1</duration><type>eighth</type>` +
		`<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>` +
		`<notations><tuplet type="start" number="1"/></notations></note>`
	text := `<score-partwise><part id="P1"><measure number="1">` + strings.Repeat(note, 100) + `</measure></part></score-partwise>`
	doc, err := Read(strings.NewReader(text), "song.xml", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := doc.Score().Parts[0].Measures[0].Notes[99].Outer, (score.Ratio{Actual: 3, Normal: 2}); got != want {
		t.Errorf("the tuplet around the last note is %v, want %v", got, want)
	}
	var open []openTuplet
	e := doc.tree.Root.FindElement("//tuplet")
	for range 100 {
		open = follow(open, e, score.Ratio{Actual: 3, Normal: 2})
	}
	if len(open) > 10 {
		t.Errorf("%d tuplets are followed at once", len(open))
	}
}
