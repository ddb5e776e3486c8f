package check_test

import (
	"fmt"
	"os"
	"strings"

	"undersong/instrument"
	"undersong/score/musicxml"
	"undersong/voicing/check"
)

// A score of two staves, as anyone may have written it, checked for a tower of
// 23 bells.
func ExampleScore() {
	doc, err := musicxml.Read(strings.NewReader(twoStaves), "peal.musicxml", musicxml.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	tower, err := instrument.Named("23")
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := check.Score(doc.Score(), check.Options{Tower: tower})
	if err != nil {
		fmt.Println(err)
		return
	}
	report.File = "peal.musicxml"
	if err := report.WriteText(os.Stdout); err != nil {
		fmt.Println(err)
	}
	// Output:
	// peal.musicxml: for tower 23, 72 quarter notes a minute (the score)
	// hands: staff 1 of Bells; feet: staff 2 of Bells
	// difficulty 2 of 5: 0.6 strokes a second at its busiest (1), limbs need 29 % of their time (2), 0 leaps in 100 (1), 1 notes at once (1)
	// melody: the likeliest line of all notes
	// findings: 2 compass, 1 low-thirds
	//   measure 1, beat 1  compass: C#3 has no pedal; the nearest is C#4
	//   measure 1, beat 2  low-thirds: F3 A3: a major third from below C4 sounds rough: leave one out, or move the upper one
	//   measure 1, beat 3  compass: E5 has no key; the nearest is E4
}

const twoStaves = `<score-partwise version="4.0">
<part-list><score-part id="P1"><part-name>Bells</part-name></score-part></part-list>
<part id="P1"><measure number="1">
<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves>
<clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef></attributes>
<direction><direction-type><words>Andante</words></direction-type><staff>1</staff><sound tempo="72"/></direction>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice><staff>1</staff></note>
<note><pitch><step>E</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice><staff>1</staff></note>
<backup><duration>4</duration></backup>
<note><pitch><step>C</step><alter>1</alter><octave>3</octave></pitch><duration>1</duration><voice>5</voice><staff>2</staff></note>
<note><pitch><step>F</step><octave>3</octave></pitch><duration>1</duration><voice>5</voice><staff>2</staff></note>
<note><chord/><pitch><step>A</step><octave>3</octave></pitch><duration>1</duration><voice>5</voice><staff>2</staff></note>
<note><pitch><step>E</step><octave>3</octave></pitch><duration>2</duration><voice>5</voice><staff>2</staff></note>
</measure></part></score-partwise>
`
