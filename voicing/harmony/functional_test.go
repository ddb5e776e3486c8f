package harmony

import (
	"testing"

	"undersong/score"
)

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

// A degree may lie below the root: "musicxml.xsd" 4.0 lets any be altered.
func TestDegreeBelowRoot(t *testing.T) {
	c := score.ChordSymbol{HasRoot: true, Kind: "major", Degrees: []score.Degree{{Value: 1, Alter: score.Flat, Type: "alter"}}}
	if got := ClassesOf(c); got != Classes(0).With(11).With(4).With(7) {
		t.Errorf("classes %b", got)
	}
	c.Degrees = []score.Degree{{Value: 15, Type: "add"}}
	if got := Name(c); got != "C(add15)" {
		t.Errorf("name %s", got)
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
