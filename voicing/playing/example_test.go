package playing_test

import (
	"fmt"

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

func ExamplePlayer_Possible() {
	tower, err := instrument.Named("47")
	if err != nil {
		panic(err)
	}
	player := playing.For(tower)
	chord := playing.Moment{At: 0, Manual: []int{60, 64, 67, 72}}
	fmt.Println("C E G C at rest:", player.Possible(chord))
	again := playing.Moment{At: 0.3, Manual: []int{62, 65, 69, 74}}
	fmt.Println("and the next 0.3 s later:", player.Possible(chord, again))
	again.At = 0.6
	fmt.Println("and the next 0.6 s later:", player.Possible(chord, again))
	fmt.Println("a tritone in either hand:", player.Possible(playing.Moment{Manual: []int{60, 66, 72, 78}}))
	// Output:
	// C E G C at rest: true
	// and the next 0.3 s later: false
	// and the next 0.6 s later: true
	// a tritone in either hand: false
}
