package score_test

import (
	"fmt"
	"strings"
	"testing"

	"undersong/score"
)

// TestKeySignatures: the order of sharps and flats of any primer of music.
func TestKeySignatures(t *testing.T) {
	for fifths, want := range map[int]string{
		-7: "Cb Db Eb Fb Gb Ab Bb", -6: "Cb Db Eb F Gb Ab Bb", -5: "C Db Eb F Gb Ab Bb", -4: "C Db Eb F G Ab Bb",
		-3: "C D Eb F G Ab Bb", -2: "C D Eb F G A Bb", -1: "C D E F G A Bb", 0: "C D E F G A B",
		1: "C D E F# G A B", 2: "C# D E F# G A B", 3: "C# D E F# G# A B", 4: "C# D# E F# G# A B",
		5: "C# D# E F# G# A# B", 6: "C# D# E# F# G# A# B", 7: "C# D# E# F# G# A# B#",
		8: "C# D# E# F## G# A# B#", -8: "Cb Db Eb Fb Gb Ab Bbb", 14: "C## D## E## F## G## A## B##",
	} {
		var got []string
		for s := score.C; s <= score.B; s++ {
			got = append(got, s.String()+score.KeySignature{Fifths: fifths}.Alter(s).String())
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%d fifths: %v, want %s", fifths, got, want)
		}
	}
	free := score.KeySignature{Free: true, Alters: [7]score.Alter{score.B: score.Flat, score.F: score.Sharp}}
	if free.Alter(score.B) != score.Flat || free.Alter(score.F) != score.Sharp || free.Alter(score.C) != score.Natural {
		t.Errorf("a free signature is not followed: %+v", free)
	}
}

func TestTimeSignatures(t *testing.T) {
	for _, test := range []struct {
		groups []score.BeatGroup
		length string
		beats  string
	}{
		{[]score.BeatGroup{{[]int{4}, 4}}, "4", "1 1 1 1"},
		{[]score.BeatGroup{{[]int{2}, 2}}, "4", "2 2"},
		{[]score.BeatGroup{{[]int{3}, 4}}, "3", "1 1 1"},
		{[]score.BeatGroup{{[]int{6}, 8}}, "3", "3/2 3/2"},
		{[]score.BeatGroup{{[]int{3}, 8}}, "3/2", "3/2"},
		{[]score.BeatGroup{{[]int{12}, 16}}, "3", "3/4 3/4 3/4 3/4"},
		{[]score.BeatGroup{{[]int{1}, 8}}, "1/2", "1/2"},
		{[]score.BeatGroup{{[]int{2}, 8}}, "1", "1"},
		{[]score.BeatGroup{{[]int{5}, 8}}, "5/2", "3/2 1"},
		{[]score.BeatGroup{{[]int{7}, 8}}, "7/2", "1 1 3/2"},
		{[]score.BeatGroup{{[]int{8}, 8}}, "4", "1 1 1 1"},
		{[]score.BeatGroup{{[]int{3, 2}, 8}}, "5/2", "3/2 1"},
		{[]score.BeatGroup{{[]int{3, 2}, 4}}, "5", "1 1 1 1 1"},
		{[]score.BeatGroup{{[]int{2}, 4}, {[]int{3}, 8}}, "7/2", "1 1 3/2"},
		{nil, "0", ""},
	} {
		s := score.TimeSignature{Groups: test.groups}
		length, ok := s.Length()
		if length.String() != test.length || ok != (test.groups != nil) {
			t.Errorf("%v: length %s, %t, want %s", test.groups, length, ok, test.length)
		}
		got := strings.Trim(fmt.Sprint(s.Beats()), "[]")
		if got != test.beats {
			t.Errorf("%v: beats %s, want %s", test.groups, got, test.beats)
		}
	}
}

func TestClefs(t *testing.T) {
	for _, test := range []struct {
		clef   score.Clef
		middle string
	}{
		{score.Treble, "B4"}, {score.Bass, "D3"}, {score.Clef{Sign: "C", Line: 3}, "C4"},
		{score.Clef{Sign: "C", Line: 4}, "A3"}, {score.Clef{Sign: "G", Line: 1}, "D5"},
		{score.Clef{Sign: "F", Line: 3}, "F3"}, {score.Clef{Sign: "G", Line: 2, OctaveChange: -1}, "B3"},
	} {
		line, ok := test.clef.MiddleLine()
		step, _ := score.ParseStep(test.middle[:1])
		want := score.Pitch{Step: step, Octave: int8(test.middle[1] - '0')}.Diatonic()
		if !ok || line != want {
			t.Errorf("%+v: middle line %d, %t, want %d (%s)", test.clef, line, ok, want, test.middle)
		}
	}
	for _, sign := range []string{"percussion", "TAB", "none", ""} {
		if _, ok := (score.Clef{Sign: sign, Line: 2}).MiddleLine(); ok {
			t.Errorf("a clef %q has no pitch", sign)
		}
	}
}
