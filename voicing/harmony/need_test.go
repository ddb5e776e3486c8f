package harmony

import (
	"slices"
	"testing"

	"undersong/score"
)

// TestNeedOrder holds the order to the table of the published thinning order
// ("Arranging for Carillon", lesson "Harmony"): the fifth of the triad goes
// first, the fifth of a seventh chord, complex chords come down to four notes,
// then three; third and seventh stay.
func TestNeedOrder(t *testing.T) {
	for _, c := range []struct {
		kind    string
		degrees []score.Degree
		want    []int
	}{
		{"major", nil, []int{3, 1, 5}},
		{"minor", nil, []int{3, 1, 5}},
		{"augmented", nil, []int{3, 1, 5}},
		{"dominant", nil, []int{3, 7, 1, 5}},
		{"half-diminished", nil, []int{3, 7, 1, 5}},
		{"major-sixth", nil, []int{3, 6, 1, 5}},
		{"suspended-fourth", nil, []int{4, 1, 5}},
		{"suspended-second", nil, []int{2, 1, 5}},
		{"power", nil, []int{1, 5}},
		{"dominant-ninth", nil, []int{3, 7, 1, 9, 5}},
		{"minor-11th", nil, []int{3, 7, 1, 11, 9, 5}},
		{"dominant-11th", nil, []int{7, 1, 11, 9, 5, 3}},
		{"dominant-13th", nil, []int{3, 7, 1, 13, 9, 5, 11}},
		{"minor-13th", nil, []int{3, 7, 1, 13, 11, 9, 5}},
		{"dominant-13th", []score.Degree{{Value: 11, Type: "subtract"}}, []int{3, 7, 1, 13, 9, 5}},
		{"dominant", []score.Degree{{Value: 5, Alter: score.Flat, Type: "alter"}, {Value: 9, Alter: score.Flat, Type: "add"}}, []int{3, 7, 1, 5, 9}},
		{"dominant-ninth", []score.Degree{{Value: 13, Alter: score.Flat, Type: "add"}}, []int{3, 7, 1, 13, 9, 5}},
		{"other", []score.Degree{{Value: 4, Type: "add"}, {Value: 7, Type: "add"}}, []int{4, 7, 1}},
		{"none", nil, nil},
	} {
		var got []int
		for _, tone := range NeedOrder(score.ChordSymbol{HasRoot: true, Kind: c.kind, Degrees: c.degrees}) {
			got = append(got, tone.Degree)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s %v: %v, not %v", c.kind, c.degrees, got, c.want)
		}
	}
}

// TestNeedOrderKeepsAll: it is an order of all tones, for every kind.
func TestNeedOrderKeepsAll(t *testing.T) {
	for i := range kinds {
		c := score.ChordSymbol{HasRoot: true, Kind: kinds[i].name}
		var set Classes
		for _, tone := range NeedOrder(c) {
			set = set.With(tone.Semitones % 12)
		}
		if set != ClassesOf(c) || len(NeedOrder(c)) != len(Tones(c)) {
			t.Errorf("%s: %v", c.Kind, NeedOrder(c))
		}
	}
}

// TestSpelledByDegree: chord tones have the letter of their degree.
func TestSpelledByDegree(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"Abm7", "Ab Cb Eb Gb"}, {"G#dim7", "G# B D F"}, {"Cdim7", "C Eb Gb Bbb"}, {"E+", "E G# B#"}, {"F#7", "F# A# C# E"}, {"Dbmaj9", "Db F Ab C Eb"},
		{"Ab German", "Ab C Eb F#"}, {"Ab Italian", "Ab C F#"}, {"Ab French", "Ab C D F#"}, {"F Tristan", "F B D# G#"},
	} {
		chord := readChord(t, c.name)
		got := ""
		for _, tone := range Tones(chord) {
			got += " " + letter(tone.On(chord.Root))
		}
		if got[1:] != c.want {
			t.Errorf("%s is%s, not %s", c.name, got, c.want)
		}
	}
}

// TestInKey: functional sixths in the key, wherever they are written.
func TestInKey(t *testing.T) {
	cMinor, gMajor := Key{-3, true}, Key{1, false}
	for _, c := range []struct {
		name string
		key  Key
		want string
	}{
		{"Ab German", cMinor, "Ab German"}, {"C German", cMinor, "Ab German"}, {"C Italian", cMinor, "Ab Italian"}, {"G French", gMajor, "Eb French"},
		{"Db Neapolitan", cMinor, "Db Neapolitan/F"}, {"C Neapolitan", cMinor, "Db Neapolitan/F"}, {"G Neapolitan", gMajor, "Ab Neapolitan/C"},
		{"Ab Neapolitan/Ab", gMajor, "Ab Neapolitan"}, {"C7", cMinor, "C7"},
	} {
		if got := Name(InKey(readChord(t, c.name), c.key)); got != c.want {
			t.Errorf("%s in %s is %s, not %s", c.name, c.key, got, c.want)
		}
	}
}
