package instrument

import (
	"fmt"
	"iter"
	"math/bits"
	"strings"

	"undersong/score"
)

// Compass is a set of keys, or of pedals, by their MIDI numbers as written.
// It can have gaps anywhere. The zero Compass is empty; two of them compare
// with ==.
type Compass struct {
	set [2]uint64
}

// lowestKey is C0, below which the name of a key would need a minus sign;
// highestKey is the last that MIDI can number.
const (
	lowestKey  = 12
	highestKey = 127
)

// span is the chromatic compass from low to high, both included. Numbers
// outside 12..127 (C0 to G9) are left out.
func span(low, high int) Compass {
	var c Compass
	for k := low; k <= high; k++ {
		c = c.with(k)
	}
	return c
}

func (c Compass) with(key int) Compass {
	if key >= lowestKey && key <= highestKey {
		c.set[key/64] |= 1 << (key % 64)
	}
	return c
}

func (c Compass) without(d Compass) Compass {
	return Compass{[2]uint64{c.set[0] &^ d.set[0], c.set[1] &^ d.set[1]}}
}

func (c Compass) and(d Compass) Compass {
	return Compass{[2]uint64{c.set[0] & d.set[0], c.set[1] & d.set[1]}}
}

func (c Compass) or(d Compass) Compass {
	return Compass{[2]uint64{c.set[0] | d.set[0], c.set[1] | d.set[1]}}
}

// Has tells whether the key with this MIDI number is there.
func (c Compass) Has(key int) bool {
	return key >= lowestKey && key <= highestKey && c.set[key/64]>>(key%64)&1 == 1
}

// Len is the number of keys.
func (c Compass) Len() int { return bits.OnesCount64(c.set[0]) + bits.OnesCount64(c.set[1]) }

// Low is the lowest key, or 0 of an empty compass.
func (c Compass) Low() int {
	for k := range c.Keys() {
		return k
	}
	return 0
}

// High is the highest key, or 0 of an empty compass.
func (c Compass) High() int {
	if c.set[1] != 0 {
		return 127 - bits.LeadingZeros64(c.set[1])
	}
	return max(0, 63-bits.LeadingZeros64(c.set[0]))
}

// Keys yields the keys from the lowest to the highest.
func (c Compass) Keys() iter.Seq[int] {
	return func(yield func(int) bool) {
		for i, word := range c.set {
			for ; word != 0; word &= word - 1 {
				if !yield(64*i + bits.TrailingZeros64(word)) {
					return
				}
			}
		}
	}
}

// String names the keys in unbroken runs, as a tower's file can: "C3 D3 E3–C7".
func (c Compass) String() string {
	var runs []string
	for k := range c.Keys() {
		if c.Has(k - 1) {
			continue
		}
		end := k
		for c.Has(end + 1) {
			end++
		}
		run := score.KeyName(k)
		if end > k {
			run += "–" + score.KeyName(end)
		}
		runs = append(runs, run)
	}
	return strings.Join(runs, " ")
}

// parseCompass reads what [Compass.String] writes: names of keys and of runs,
// parted by spaces or commas. A run may be written with a hyphen, with or
// without spaces around it, a black key as a flat: "Bb2, C3 - G4".
func parseCompass(text string) (Compass, error) {
	var c Compass
	text = strings.NewReplacer("–", "-", ",", " ").Replace(text)
	for _, run := range strings.Fields(strings.ReplaceAll(text, " - ", "-")) {
		keys, err := parseRun(run)
		if err != nil {
			return Compass{}, err
		}
		c = c.or(keys)
	}
	return c, nil
}

// parseRun reads a key, or two with a hyphen between them.
func parseRun(run string) (Compass, error) {
	from, to, isRun := strings.Cut(run, "-")
	if !isRun {
		to = from
	} else if from == "" || to == "" {
		return Compass{}, fmt.Errorf("%q is not a run of keys: write both ends, such as C3-G4", run)
	}
	low, err := parseKey(from)
	if err != nil {
		return Compass{}, err
	}
	high, err := parseKey(to)
	if err != nil {
		return Compass{}, err
	}
	if high < low {
		return Compass{}, fmt.Errorf("%q runs downward: write the lower key first", run)
	}
	return span(low, high), nil
}

// parseKey reads the scientific name of a key: letter, accidentals, octave.
func parseKey(name string) (int, error) {
	wrong := fmt.Errorf("%q is not the name of a key: write a letter, # or b, and an octave, such as C3, F#4 or Bb2 (middle C is C4)", name)
	if len(name) < 2 {
		return 0, wrong
	}
	step, ok := score.ParseStep(strings.ToUpper(name[:1]))
	octave := name[len(name)-1]
	if !ok || octave < '0' || octave > '9' {
		return 0, wrong
	}
	p := score.Pitch{Step: step, Octave: int8(octave - '0')}
	for _, sign := range name[1 : len(name)-1] {
		switch sign {
		case '#':
			p.Alter += score.Sharp
		case 'b':
			p.Alter += score.Flat
		default:
			return 0, wrong
		}
	}
	if key := p.MIDI(); key >= lowestKey && key <= highestKey {
		return key, nil
	}
	return 0, fmt.Errorf("key %s is outside C0 to G9 (MIDI 12 to 127)", name)
}
