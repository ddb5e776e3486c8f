package harmony

import (
	"slices"

	"undersong/score"
)

// Tone is one tone of a chord.
type Tone struct {
	Degree    int // 1 for the root, 3 for the third, up to 13
	Semitones int // above the root
}

// On is the tone of a chord on a root, spelled by its degree, in the octave
// above the root.
func (t Tone) On(root score.Pitch) score.Pitch { return root.Transpose(t.Degree-1, t.Semitones) }

// Class is the pitch class of the tone in a chord on root. An altered degree may lie below
// the root.
func (t Tone) Class(root score.Pitch) int { return (root.Class() + t.Semitones%12 + 12) % 12 }

// kind is one kind of chord.
type kind struct {
	name  string
	tones []Tone
}

// classes are the pitch classes of the kind on C.
func (k *kind) classes() Classes {
	var set Classes
	for _, t := range k.tones {
		set = set.With(t.Semitones % 12)
	}
	return set
}

// equal is the step in semitones of a kind whose tones are all as far apart,
// so that each might be its root; 0 of others.
func (k *kind) equal() int {
	switch k.name {
	case "augmented":
		return 4
	case "diminished-seventh":
		return 3
	}
	return 0
}

// sounding tells whether a kind can be told from notes alone: not by what a
// chord is for, as a functional sixth, and not by less than three tones.
func (k *kind) sounding() bool {
	switch k.name {
	case "Neapolitan", "Italian", "French", "German", "Tristan":
		return false
	}
	return len(k.tones) > 2
}

// kindOf is the place of a kind in kinds, -1 of one that is not there.
func kindOf(name string) int {
	return slices.IndexFunc(kinds, func(k kind) bool { return k.name == name })
}

// kinds are the chords that MusicXML 4.0 has names for (W3C, musicxml.xsd,
// kind-value), in its order. The text there defines them but for the
// functional sixths and the Tristan chord, which are as harmony books have
// them (from memory); their roots are taken as they are written: of the
// augmented sixths the bass note, of the Neapolitan the lowered second degree.
var kinds = []kind{
	{"major", triad(4, 7)},
	{"minor", triad(3, 7)},
	{"augmented", triad(4, 8)},
	{"diminished", triad(3, 6)},
	{"dominant", triad(4, 7, Tone{7, 10})},
	{"major-seventh", triad(4, 7, Tone{7, 11})},
	{"minor-seventh", triad(3, 7, Tone{7, 10})},
	{"diminished-seventh", triad(3, 6, Tone{7, 9})},
	{"augmented-seventh", triad(4, 8, Tone{7, 10})},
	{"half-diminished", triad(3, 6, Tone{7, 10})},
	{"major-minor", triad(3, 7, Tone{7, 11})},
	{"major-sixth", triad(4, 7, Tone{6, 9})},
	{"minor-sixth", triad(3, 7, Tone{6, 9})},
	{"dominant-ninth", triad(4, 7, Tone{7, 10}, Tone{9, 14})},
	{"major-ninth", triad(4, 7, Tone{7, 11}, Tone{9, 14})},
	{"minor-ninth", triad(3, 7, Tone{7, 10}, Tone{9, 14})},
	{"dominant-11th", triad(4, 7, Tone{7, 10}, Tone{9, 14}, Tone{11, 17})},
	{"major-11th", triad(4, 7, Tone{7, 11}, Tone{9, 14}, Tone{11, 17})},
	{"minor-11th", triad(3, 7, Tone{7, 10}, Tone{9, 14}, Tone{11, 17})},
	{"dominant-13th", triad(4, 7, Tone{7, 10}, Tone{9, 14}, Tone{11, 17}, Tone{13, 21})},
	{"major-13th", triad(4, 7, Tone{7, 11}, Tone{9, 14}, Tone{11, 17}, Tone{13, 21})},
	{"minor-13th", triad(3, 7, Tone{7, 10}, Tone{9, 14}, Tone{11, 17}, Tone{13, 21})},
	{"suspended-second", []Tone{{1, 0}, {2, 2}, {5, 7}}},
	{"suspended-fourth", []Tone{{1, 0}, {4, 5}, {5, 7}}},
	{"Neapolitan", triad(4, 7)},
	{"Italian", []Tone{{1, 0}, {3, 4}, {6, 10}}},
	{"French", []Tone{{1, 0}, {3, 4}, {4, 6}, {6, 10}}},
	{"German", []Tone{{1, 0}, {3, 4}, {5, 7}, {6, 10}}},
	{"pedal", []Tone{{1, 0}}},
	{"power", []Tone{{1, 0}, {5, 7}}},
	{"Tristan", []Tone{{1, 0}, {4, 6}, {6, 10}, {9, 15}}},
	{"other", []Tone{{1, 0}}},
	{"none", nil},
}

func triad(third, fifth int, more ...Tone) []Tone {
	return append([]Tone{{1, 0}, {3, third}, {5, fifth}}, more...)
}

// degrees are those of a dominant chord, from which added degrees are counted:
// "major and perfect intervals except for a minor seventh" (W3C, musicxml.xsd,
// degree-alter).
var degrees = [14]int{1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 10, 8: 12, 9: 14, 10: 16, 11: 17, 12: 19, 13: 21}

// Tones are the tones of a chord as its kind and degrees define it, from the
// root up, without its bass. A chord of kind "none", and one of a kind that
// MusicXML does not have, has none.
func Tones(c score.ChordSymbol) []Tone {
	tones := slices.Clone(tonesOf(c.Kind))
	if tones == nil {
		return nil
	}
	for _, d := range c.Degrees {
		tones = change(tones, d)
	}
	return tones
}

// tonesOf are the tones of a kind, nil of none and of one that is not there.
func tonesOf(name string) []Tone {
	if k := kindOf(name); k >= 0 {
		return kinds[k].tones
	}
	return nil
}

// change applies a degree. The alteration of one to alter or subtract counts
// from the chord's own, that of one to add from a dominant chord's.
func change(tones []Tone, d score.Degree) []Tone {
	if d.Value < 1 || d.Value >= len(degrees) {
		return tones
	}
	by := int(d.Alter) / int(score.Sharp)
	for i, t := range tones {
		if t.Degree != d.Value {
			continue
		}
		switch d.Type {
		case "alter":
			tones[i].Semitones += by
			return tones
		case "subtract":
			return append(tones[:i], tones[i+1:]...)
		}
	}
	if d.Type == "subtract" {
		return tones
	}
	added := Tone{d.Value, degrees[d.Value] + by}
	at := slices.IndexFunc(tones, func(t Tone) bool { return t.Semitones > added.Semitones })
	if at < 0 {
		at = len(tones)
	}
	return slices.Insert(tones, at, added)
}
