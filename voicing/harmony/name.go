package harmony

import (
	"strconv"

	"undersong/score"
)

// suffixes name kinds behind their root, as lead sheets commonly do: common
// practice, no source.
var suffixes = map[string]string{
	"major": "", "minor": "m", "augmented": "+", "diminished": "dim", "dominant": "7", "major-seventh": "maj7",
	"minor-seventh": "m7", "diminished-seventh": "dim7", "augmented-seventh": "+7", "half-diminished": "m7b5",
	"major-minor": "m(maj7)", "major-sixth": "6", "minor-sixth": "m6", "dominant-ninth": "9", "major-ninth": "maj9",
	"minor-ninth": "m9", "dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11", "dominant-13th": "13",
	"major-13th": "maj13", "minor-13th": "m13", "suspended-second": "sus2", "suspended-fourth": "sus4",
	"power": "5",
}

// Name is a chord as lead sheets name it, such as "Am7/G"; a kind without a
// common suffix is named in words. A symbol that says that there is no chord is
// "N.C.", one that says nothing "–".
func Name(c score.ChordSymbol) string {
	if noChord(c) {
		return "N.C."
	}
	if !saysChord(c) {
		return "–"
	}
	name := letter(c.Root) + nameOf(c.Kind)
	for _, d := range c.Degrees {
		name += degreeName(d)
	}
	if c.HasBass && c.Bass.Class() != c.Root.Class() {
		name += "/" + letter(c.Bass)
	}
	return name
}

func nameOf(kind string) string {
	if suffix, ok := suffixes[kind]; ok {
		return suffix
	}
	return " " + kind
}

func letter(p score.Pitch) string { return p.Step.String() + p.Alter.String() }

func degreeName(d score.Degree) string {
	number := d.Alter.String() + strconv.Itoa(d.Value)
	switch d.Type {
	case "add":
		return "(add" + number + ")"
	case "subtract":
		return "(no" + number + ")"
	}
	return "(" + number + ")"
}
