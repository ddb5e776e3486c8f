package instrument_test

import (
	"fmt"
	"strings"

	"undersong/instrument"
)

func ExampleNamed() {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(tower.Manual.Len(), "bells:", tower.Manual)
	fmt.Println("pedals:", tower.Pedals)
	fmt.Println("C#3 is there:", tower.Manual.Has(49))
	// Output:
	// 47 bells: C3 D3 E3–C7
	// pedals: C3 D3 E3–C5
	// C#3 is there: false
}

func ExampleRead() {
	tower, err := instrument.Read(strings.NewReader(`
name: Our tower
from: 49-short
missing: F#6
transposition: -2
`), "tower.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(tower.Manual, "sounds", tower.SoundingOffset(), "semitones higher")
	// Output: A#2 C3 D3–F6 G6–C7 sounds 10 semitones higher
}

func ExampleRead_problems() {
	_, err := instrument.Read(strings.NewReader(`
missing: C#3
transposition: 40
`), "tower.yaml")
	fmt.Println(err)
	// Output:
	// tower.yaml:2: missing: "C#3": must be keys of the manual (C3 D3 E3–C7), which has no C#3
	// tower.yaml:3: transposition: "40": must be a whole number from -12 to 24 semitones
}

func ExampleTower_Bell() {
	tower, _ := instrument.Named("47")
	b := tower.Bell(60)
	fmt.Printf("key C4 sounds MIDI %d, %.1f Hz: %.0f kg, %.2f m, rings %.0f to %.0f s\n",
		b.Sounds, b.Hz, b.Mass, b.Diameter, b.Ring.Least, b.Ring.Most)
	// Output: key C4 sounds MIDI 72, 523.3 Hz: 297 kg, 0.79 m, rings 5 to 15 s
}

// On bells the minor third is the sweeter one, and a bell struck a moment ago
// still takes part.
func ExampleTower_Pleasantness() {
	tower, _ := instrument.Named("47")
	key := func(k int) instrument.Stroke { return instrument.Stroke{Key: k} }
	fmt.Printf("minor third %+.1f\n", tower.Pleasantness(key(60), key(63)))
	fmt.Printf("major third %+.1f\n", tower.Pleasantness(key(60), key(64)))
	fmt.Printf("semitone, the lower a second ago %+.1f\n",
		tower.Pleasantness(instrument.Stroke{Key: 59, Ago: 1}, key(60)))
	// Output:
	// minor third +0.4
	// major third +0.2
	// semitone, the lower a second ago -0.3
}
