package notation_test

import (
	"fmt"

	"undersong/score"
	"undersong/score/notation"
)

func ExampleMeasure() {
	m := &score.Measure{
		Length: score.Quarters(3),
		Times:  []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{3}, Unit: 4}}}}},
		Notes: []score.Note{
			{Staff: 1, Voice: 1, Onset: score.Time{}, Length: score.Frac(3, 2), Pitch: score.Spell(61)},
			{Staff: 1, Voice: 1, Onset: score.Frac(3, 2), Length: score.Frac(1, 2), Pitch: score.Spell(60)},
		},
	}
	part := &score.Part{Staves: 1, Measures: []*score.Measure{m}}
	for _, v := range notation.Measure(m, notation.NewContext(part)) {
		for _, e := range v.Events {
			if len(e.Notes) == 0 {
				fmt.Println("rest", e.Type)
				continue
			}
			fmt.Println(e.Notes[0].Note.Pitch, e.Type, e.Dots, e.Notes[0].Accidental)
		}
	}
	// Output:
	// C#4 quarter 1 sharp
	// C4 eighth 0 natural
	// rest quarter
}

func ExampleValue() {
	fmt.Println(notation.Value("half"), notation.Value("16th"), notation.Value("crotchet"))
	// Output: 2 1/4 0
}
