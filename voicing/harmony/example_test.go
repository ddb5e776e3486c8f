package harmony_test

import (
	"fmt"

	"undersong/score"
	"undersong/voicing/harmony"
)

// A measure of C major and one of G major with a seventh, over a bass.
func ExampleFind() {
	p := &score.Part{ID: "P1", Staves: 1}
	for _, chord := range [][]int{{48, 64, 67, 72}, {47, 62, 65, 67}} {
		m := &score.Measure{Length: score.Whole}
		for _, midi := range chord {
			m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Length: score.Whole, Pitch: score.Spell(midi)})
		}
		p.Measures = append(p.Measures, m)
	}
	s := &score.Score{Parts: []*score.Part{p}}
	for _, span := range harmony.Find(s, s.Tones(), nil) {
		fmt.Println(span.From, span.To, harmony.Name(span.Chord))
	}
	// Output:
	// 0 4 C
	// 4 8 G7/B
}

// The scale of A minor, more of its tonic triad than of the rest.
func ExampleKeys() {
	best := harmony.Keys([12]float64{3, 0, 1, 0, 4, 1, 0, 0, 1, 5, 0, 1})[0]
	fmt.Printf("%s %.2f\n", best, best.Correlation)
	// Output: A minor 0.91
}

func ExampleTones() {
	c := score.ChordSymbol{HasRoot: true, Kind: "dominant", Degrees: []score.Degree{{Value: 9, Alter: score.Flat, Type: "add"}}}
	fmt.Println(harmony.Name(c), harmony.Tones(c))
	// Output: C7(addb9) [{1 0} {3 4} {5 7} {7 10} {9 13}]
}
