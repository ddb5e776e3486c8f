package playing_test

import (
	"fmt"
	"slices"

	"undersong/instrument"
	"undersong/voicing/playing"
)

func ExamplePlayer_Assign() {
	tower, err := instrument.Named("47")
	if err != nil {
		panic(err)
	}
	strokes := []playing.Stroke{
		{At: 0, Key: 48, Pedal: true}, // C3
		{At: 0, Key: 64},
		{At: 0, Key: 72},
		{At: 0.2, Key: 74},
		{At: 0.4, Key: 76},
		{At: 0.4, Key: 60},
	}
	a := playing.For(tower).Assign(strokes)
	for i, s := range strokes {
		fmt.Printf("%.1f s, key %d: %s\n", s.At, s.Key, a.Limbs[i])
	}
	fmt.Println("playable:", a.Playable())
	// Output:
	// 0.0 s, key 48: left foot
	// 0.0 s, key 64: left hand
	// 0.0 s, key 72: right hand
	// 0.2 s, key 74: right hand
	// 0.4 s, key 76: right hand
	// 0.4 s, key 60: left hand
	// playable: true
}

func ExampleAssignment_Playable() {
	tower, err := instrument.Named("47")
	if err != nil {
		panic(err)
	}
	player := playing.For(tower)
	chord := func(at float64, keys ...int) (strokes []playing.Stroke) {
		for _, key := range keys {
			strokes = append(strokes, playing.Stroke{At: at, Key: key})
		}
		return strokes
	}
	playable := func(strokes ...playing.Stroke) bool {
		a := player.Assign(strokes)
		return a.Playable()
	}
	first := chord(0, 60, 64, 67, 72)
	fmt.Println("C E G C at rest:", playable(first...))
	for _, at := range []float64{0.3, 0.6} {
		fmt.Printf("and the next %.1f s later: %t\n", at, playable(slices.Concat(first, chord(at, 62, 65, 69, 74))...))
	}
	fmt.Println("a tritone in either hand:", playable(chord(0, 60, 66, 72, 78)...))
	// Output:
	// C E G C at rest: true
	// and the next 0.3 s later: false
	// and the next 0.6 s later: true
	// a tritone in either hand: false
}
