package harmony

import (
	"math/bits"

	"undersong/score"
)

// Classes is a set of pitch classes, C as bit 0.
type Classes uint16

// With is c and one class more.
func (c Classes) With(class int) Classes { return c | 1<<class }

// Has tells whether a class is in c.
func (c Classes) Has(class int) bool { return c>>class&1 == 1 }

// Count is the number of classes in c.
func (c Classes) Count() int { return bits.OnesCount16(uint16(c)) }

// up is every class of c raised by so many semitones, 0 to 11.
func (c Classes) up(semitones int) Classes { return (c<<semitones | c>>(12-semitones)) & 0xfff }

// triadRoot is the root of c if that is a major or a minor triad.
func triadRoot(c Classes) (root int, ok bool) {
	if c.Count() != 3 {
		return 0, false
	}
	for root := range 12 {
		if down := c.up((12 - root) % 12); down == majorTriad || down == minorTriad {
			return root, true
		}
	}
	return 0, false
}

var majorTriad, minorTriad = kinds[kindOf("major")].classes(), kinds[kindOf("minor")].classes()

// ClassesOf are the pitch classes of a chord symbol, its bass included.
func ClassesOf(c score.ChordSymbol) Classes {
	var set Classes
	tones := tonesOf(c.Kind)
	if len(c.Degrees) > 0 {
		tones = Tones(c)
	}
	for _, t := range tones {
		set = set.With(t.Class(c.Root))
	}
	if c.HasBass {
		set = set.With(c.Bass.Class())
	}
	return set
}

// Identify is the chord that has just these pitch classes over a bass, spelled
// in a key: of the kinds of MusicXML the first that fits on the bass, else on
// another root. ok is false where none has them all and no more.
func Identify(set Classes, bass int, k Key) (chord score.ChordSymbol, ok bool) {
	for step := range 12 {
		root := (bass + step) % 12
		for i := range kinds {
			if len(kinds[i].tones) > 0 && kinds[i].classes().up(root) == set {
				return symbol(i, k.Spell(root), bass), true
			}
		}
	}
	return score.ChordSymbol{Kind: "none"}, false
}

// symbol is the chord of a kind, an index in kinds, on a root, over a bass
// that is one of its tones.
func symbol(kind int, root score.Pitch, bass int) score.ChordSymbol {
	c := score.ChordSymbol{Kind: kinds[kind].name, HasRoot: true, Root: root}
	for _, t := range kinds[kind].tones {
		if t.Semitones > 0 && (root.Class()+t.Semitones)%12 == bass {
			c.HasBass, c.Bass = true, t.On(root)
			c.Bass.Octave = 0
		}
	}
	return c
}
