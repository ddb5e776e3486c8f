package harmony

import (
	"strings"

	"undersong/score"
)

// noChord tells whether a symbol says that there is no chord: its kind is
// "none", and it is printed as "N.C." or "no chord". A symbol of that kind with
// another text, or with none, is the label of an analysis and says nothing.
func noChord(c score.ChordSymbol) bool {
	if c.Kind != "none" {
		return false
	}
	switch strings.ToLower(strings.NewReplacer(".", "", " ", "").Replace(c.Text)) {
	case "nc", "nochord":
		return true
	}
	return false
}

// InKey is a chord symbol as it sounds in a key, with root and bass. A numeral
// becomes a root, an inversion a bass. A functional sixth that is written on
// the tonic moves to its own root, the lowered second degree of the Neapolitan,
// the lowered sixth of the others; and a Neapolitan without a bass has its third
// there, which made it a sixth (common practice, no source).
func InKey(c score.ChordSymbol, k Key) score.ChordSymbol {
	c = functionalSixth(rooted(c, k), k)
	if !c.HasRoot || c.HasBass || c.Inversion <= 0 {
		return c
	}
	if tones := Tones(c); c.Inversion < len(tones) {
		c.HasBass, c.Bass = true, tones[c.Inversion].On(c.Root)
		c.Bass.Octave = 0
	}
	return c
}

// rooted is a symbol with a root for its numeral. Of kind "none" a root "has no
// meaning" (W3C, musicxml.xsd, kind-value), and is taken away.
func rooted(c score.ChordSymbol, k Key) score.ChordSymbol {
	switch {
	case c.Kind == "none":
		c.HasRoot, c.Root, c.HasBass, c.Bass = false, score.Pitch{}, false, score.Pitch{}
	case !c.HasRoot && c.Numeral.Degree > 0:
		c.HasRoot, c.Root = true, root(c.Numeral, k)
	}
	return c
}

// root is the note of a numeral. Degrees 6 and 7 of a minor key are those of
// the natural scale, unless its mode says otherwise (W3C, musicxml.xsd,
// numeral-mode).
func root(n score.Numeral, k Key) score.Pitch {
	mode := ""
	if n.HasKey {
		mode = n.Key.Mode
		k = Key{within7(n.Key.Fifths), strings.HasSuffix(mode, "minor")}
	}
	scale := [7]int{0, 2, 4, 5, 7, 9, 11}
	if k.Minor {
		scale = [7]int{0, 2, 3, 5, 7, 8, 10}
	}
	switch mode {
	case "harmonic minor":
		scale[6] = 11
	case "melodic minor":
		scale[5], scale[6] = 9, 11
	}
	p := k.Tonic().Transpose(n.Degree-1, scale[n.Degree-1])
	p.Alter += n.Alter
	p.Octave = 0
	return p
}

func functionalSixth(c score.ChordSymbol, k Key) score.ChordSymbol {
	letters, semitones := 5, 8
	switch c.Kind {
	case "Neapolitan":
		letters, semitones = 1, 1
	case "Italian", "French", "German":
	default:
		return c
	}
	if c.HasRoot && c.Root.Class() == k.class() {
		c.Root = k.Tonic().Transpose(letters, semitones)
		c.Root.Octave = 0
	}
	if c.Kind == "Neapolitan" && c.HasRoot && !c.HasBass {
		c.HasBass, c.Bass = true, Tone{3, 4}.On(c.Root)
		c.Bass.Octave = 0
	}
	return c
}
