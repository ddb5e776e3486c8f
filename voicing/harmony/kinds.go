package harmony

import "undersong/score"

// Tone is one tone of a chord.
type Tone struct {
	Degree    int // 1 for the root, 3 for the third, up to 13
	Semitones int // above the root
}

// kinds are the chords that MusicXML 4.0 has names for (W3C, musicxml.xsd,
// kind-value), in its order. The text there defines them but for the
// functional sixths and the Tristan chord, which are as harmony books have
// them (from memory); their roots are taken as they are written: of the
// augmented sixths the bass note, of the Neapolitan the lowered second degree.
var kinds = []struct {
	name  string
	tones []Tone
}{
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
	var tones []Tone
	for _, k := range kinds {
		if k.name == c.Kind {
			tones = append(tones, k.tones...)
		}
	}
	if tones == nil {
		return nil
	}
	for _, d := range c.Degrees {
		tones = change(tones, d)
	}
	return tones
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
	at := len(tones)
	for at > 0 && tones[at-1].Semitones > added.Semitones {
		at--
	}
	return append(tones[:at], append([]Tone{added}, tones[at:]...)...)
}

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
// common suffix is named in words, and no chord is "–".
func Name(c score.ChordSymbol) string {
	tones := Tones(c)
	if tones == nil || !c.HasRoot {
		return "–"
	}
	suffix, ok := suffixes[c.Kind]
	if !ok {
		suffix = " " + c.Kind
	}
	name := letter(c.Root) + suffix
	for _, d := range c.Degrees {
		name += degreeName(d)
	}
	if c.HasBass && c.Bass.Class() != c.Root.Class() {
		name += "/" + letter(c.Bass)
	}
	return name
}

func letter(p score.Pitch) string { return p.Step.String() + p.Alter.String() }

func degreeName(d score.Degree) string {
	number := d.Alter.String() + [...]string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13"}[min(max(d.Value, 0), 13)]
	switch d.Type {
	case "add":
		return "(add" + number + ")"
	case "subtract":
		return "(no" + number + ")"
	}
	return "(" + number + ")"
}
