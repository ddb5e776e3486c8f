package voicing_test

import (
	"fmt"
	"strings"

	"undersong/score/musicxml"
	"undersong/voicing"
)

const song = `<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>Piano</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1">
      <attributes><divisions>1</divisions><staves>2</staves></attributes>
      <note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration><staff>1</staff></note>
      <backup><duration>2</duration></backup>
      <note><pitch><step>C</step><octave>3</octave></pitch><duration>2</duration><voice>5</voice><staff>2</staff></note>
      <note><chord/><pitch><step>E</step><octave>3</octave></pitch><duration>2</duration><voice>5</voice><staff>2</staff></note>
    </measure>
  </part>
</score-partwise>
`

// The melody goes an octave down to the pedals (staff 2), everything else
// above it to the manual, where the close third is opened.
func ExampleVoice() {
	doc, err := musicxml.Read(strings.NewReader(song), "song.musicxml", musicxml.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	result, report, err := voicing.Voice(doc.Score(), voicing.Options{Voicing: voicing.Inverted})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, t := range result.Tones() {
		fmt.Println("staff", t.First().Staff, t.First().Pitch)
	}
	fmt.Println(report.Melody.From)
	// Output:
	// staff 2 G3
	// staff 1 E4
	// staff 1 C5
	// the top line, as no other is much likelier
}
