package musicxml_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strings"

	"undersong/score"
	"undersong/score/musicxml"
)

const twoNotes = `<score-partwise version="4.0">
  <movement-title>Two Strokes</movement-title>
  <part-list><score-part id="P1"><part-name>Bells</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1">
      <attributes><divisions>1</divisions></attributes>
      <note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note>
      <note><pitch><step>G</step><octave>3</octave></pitch><duration>3</duration></note>
    </measure>
  </part>
</score-partwise>
`

func ExampleRead() {
	doc, err := musicxml.Read(strings.NewReader(twoNotes), "two.musicxml", musicxml.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, t := range doc.Score().Tones() {
		fmt.Println(t.Pitch, "at", t.Onset, "for", t.Length)
	}
	// Output:
	// C4 at 0 for 1
	// G3 at 1 for 3
}

// An error names the file, and where it can the part and the measure.
func ExampleRead_error() {
	damaged := strings.Replace(twoNotes, "<step>G</step>", "<step>H</step>", 1)
	_, err := musicxml.Read(strings.NewReader(damaged), "two.musicxml", musicxml.Limits{})
	fmt.Println(err)
	// Output:
	// two.musicxml, part P1, measure 1, beat 2: no such pitch: step "H", alter "", octave "3": steps are A to G, alters -6 to 6, octaves 0 to 9
}

// Limits refuse what a hostile file would cost.
func ExampleLimits() {
	_, err := musicxml.Read(strings.NewReader(twoNotes), "two.musicxml", musicxml.Limits{Bytes: 100})
	fmt.Println(err)
	// Output:
	// two.musicxml: too large: more than 100 bytes of score: raise that limit if you trust the file
}

func ExampleReadContext() {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := musicxml.ReadContext(ctx, strings.NewReader(twoNotes), "two.musicxml", musicxml.Limits{})
	fmt.Println(err)
	// Output:
	// two.musicxml: context canceled
}

// A changed measure is a new one in a new part of a new score; it is engraved
// anew, while those that are still the ones that were read keep their text.
func ExampleDocument_Write() {
	doc, err := musicxml.Read(strings.NewReader(twoNotes), "two.musicxml", musicxml.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	read := doc.Score()
	measure := *read.Parts[0].Measures[0]
	measure.Notes = append([]score.Note{}, measure.Notes...)
	for i := range measure.Notes {
		measure.Notes[i].Pitch = measure.Notes[i].Pitch.Octaves(1)
	}
	part := *read.Parts[0]
	part.Measures = []*score.Measure{&measure}
	changed := *read
	changed.Parts = []*score.Part{&part}

	if err := doc.Write(os.Stdout, &changed); err != nil {
		fmt.Println(err)
	}
	// Output:
	// <?xml version="1.0" encoding="UTF-8"?>
	// <score-partwise version="4.0">
	//   <movement-title>Two Strokes</movement-title>
	//   <identification>
	//     <encoding>
	//       <software>undersong</software>
	//     </encoding>
	//   </identification>
	//   <part-list>
	//     <score-part id="P1">
	//       <part-name>Bells</part-name>
	//     </score-part>
	//   </part-list>
	//   <part id="P1">
	//     <measure number="1">
	//       <attributes>
	//         <divisions>1</divisions>
	//       </attributes>
	//       <note>
	//         <pitch>
	//           <step>C</step>
	//           <octave>5</octave>
	//         </pitch>
	//         <duration>1</duration>
	//         <voice>1</voice>
	//         <type>quarter</type>
	//         <stem>down</stem>
	//       </note>
	//       <note>
	//         <pitch>
	//           <step>G</step>
	//           <octave>4</octave>
	//         </pitch>
	//         <duration>3</duration>
	//         <voice>1</voice>
	//         <type>half</type>
	//         <dot/>
	//         <stem>up</stem>
	//       </note>
	//     </measure>
	//   </part>
	// </score-partwise>
}

func ExampleDocument_WriteArchive() {
	doc, err := musicxml.Read(strings.NewReader(twoNotes), "two.musicxml", musicxml.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	var packed bytes.Buffer
	if err := doc.WriteArchive(&packed, doc.Score()); err != nil {
		fmt.Println(err)
		return
	}
	again, err := musicxml.Read(&packed, "two.mxl", musicxml.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(again.Score().Title)
	// Output:
	// Two Strokes
}

// A score of your own needs no file to begin with.
func ExampleWrite() {
	measure := &score.Measure{
		Number: "1", Length: score.Whole,
		Times: []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}}},
		Clefs: []score.ClefChange{{Staff: 1, Clef: score.Treble}},
		Notes: []score.Note{{Staff: 1, Voice: 1, Length: score.Whole, Pitch: score.Spell(60)}},
	}
	s := &score.Score{
		Title: "One Stroke", Composers: []string{"A. Ringer"},
		Parts: []*score.Part{{ID: "P1", Name: "Bells", Staves: 1, Measures: []*score.Measure{measure}}},
	}
	if err := musicxml.Write(os.Stdout, s); err != nil {
		fmt.Println(err)
	}
	// Output:
	// <?xml version="1.0" encoding="UTF-8"?>
	// <score-partwise version="4.0">
	//   <work>
	//     <work-title>One Stroke</work-title>
	//   </work>
	//   <identification>
	//     <creator type="composer">A. Ringer</creator>
	//     <encoding>
	//       <software>undersong</software>
	//     </encoding>
	//   </identification>
	//   <part-list>
	//     <score-part id="P1">
	//       <part-name>Bells</part-name>
	//     </score-part>
	//   </part-list>
	//   <part id="P1">
	//     <measure number="1">
	//       <attributes>
	//         <divisions>1</divisions>
	//         <time>
	//           <beats>4</beats>
	//           <beat-type>4</beat-type>
	//         </time>
	//         <clef>
	//           <sign>G</sign>
	//           <line>2</line>
	//         </clef>
	//       </attributes>
	//       <note>
	//         <pitch>
	//           <step>C</step>
	//           <octave>4</octave>
	//         </pitch>
	//         <duration>4</duration>
	//         <voice>1</voice>
	//         <type>whole</type>
	//       </note>
	//     </measure>
	//   </part>
	// </score-partwise>
}
