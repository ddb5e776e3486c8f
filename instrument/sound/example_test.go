package sound_test

import (
	"context"
	"fmt"
	"io"

	"undersong/instrument"
	"undersong/instrument/sound"
)

// The lowest and the highest bell of the usual tower, heard two streets away.
func Example() {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		fmt.Println(err)
		return
	}
	r := &sound.Recording{
		Tower:   tower,
		Strokes: []sound.Stroke{{Seconds: 0, Key: 48}, {Seconds: 2, Key: 96}},
		Place:   sound.Place{Metres: 300, Air: sound.CoolAir},
	}
	made, err := r.WriteWAV(context.Background(), io.Discard, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f and %.0f dB, peak %v dB, too faint: %v\n", made.Loudest, made.Faintest, made.Peak, made.Unheard)
	// Output: 64 and 32 dB, peak -1 dB, too faint: map[96:1]
}
