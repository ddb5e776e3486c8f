package harmony

import "undersong/score"

// InKey is a chord symbol as it sounds in a key. It changes the functional
// sixths only, which are known by the key: one that is written on the tonic
// moves to its own root, the lowered second degree of the Neapolitan, the
// lowered sixth of the others; and a Neapolitan without a bass has its third
// there, which made it a sixth. Common practice, no source.
func InKey(c score.ChordSymbol, k Key) score.ChordSymbol {
	letters, semitones := 5, 8
	switch c.Kind {
	case "Neapolitan":
		letters, semitones = 1, 1
	case "Italian", "French", "German":
	default:
		return c
	}
	if tonic := k.Tonic(); c.HasRoot && c.Root.Class() == tonic.Class() {
		c.Root = tonic.Transpose(letters, semitones)
		c.Root.Octave = 0
	}
	if c.Kind == "Neapolitan" && c.HasRoot && !c.HasBass {
		c.HasBass, c.Bass = true, Tone{3, 4}.On(c.Root)
		c.Bass.Octave = 0
	}
	return c
}
