package voicing

import (
	"slices"
	"testing"

	"undersong/score"
)

// sung is a score of measures of four quarters, of strikes that last so long each: the
// first key of each is sung, the others are the piano's. Where it is 0 the one before
// is held.
func sung(length score.Time, strikes ...[]int) *score.Score {
	p := &score.Part{Staves: 2}
	var at score.Time // in the piece
	held := 0         // the index of the sung note
	for _, keys := range strikes {
		onset := at.Sub(at.Floor(score.Quarters(4)))
		if onset == (score.Time{}) {
			p.Measures = append(p.Measures, &score.Measure{Length: score.Quarters(4)})
		}
		m := p.Measures[len(p.Measures)-1]
		for _, key := range keys[1:] {
			m.Notes = append(m.Notes, score.Note{Staff: 2, Voice: 2, Onset: onset, Length: length, Pitch: score.Spell(key)})
		}
		if keys[0] == 0 {
			m.Notes[held].Length = m.Notes[held].Length.Add(length)
		} else {
			held = len(m.Notes)
			m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: onset, Length: length, Pitch: score.Spell(keys[0]), Lyrics: []score.Lyric{{Verse: "1", Text: "la"}}})
		}
		at = at.Add(length)
	}
	return &score.Score{Parts: []*score.Part{p}}
}

// TestBassGivesWay: where third and root lie too close for the low bells and nothing comes
// after the beat for a slow hand, the third stays and the root in the pedals
// goes, but in the first and the last chord and at a cadence (common practice, no source).
func TestBassGivesWay(t *testing.T) {
	c, d7, g := []int{72, 48, 64, 67}, []int{69, 50, 60, 66}, []int{67, 55, 59, 62}
	for _, test := range []struct {
		name   string
		chords [][]int // one to a measure
		which  int
		rests  bool   // the melody, after that chord
		want   string // why its bass is left out
	}{
		{"a third over the bass", [][]int{c, g, c}, 1, false, "gives way to the third"},
		{"in the first chord", [][]int{g, c, c}, 0, false, ""},
		{"in the last chord", [][]int{c, c, g}, 2, false, ""},
		{"at a cadence", [][]int{c, d7, g, c}, 2, true, ""},
		{"after the dominant, in a phrase", [][]int{c, d7, g, c}, 2, false, "gives way to the third"},
		{"before a breath, but no cadence", [][]int{c, g, c}, 1, true, "gives way to the third"},
		{"a third with room", [][]int{c, {74, 55, 71, 67}, c}, 1, false, ""},
		{"the bass is the third", [][]int{c, {67, 59, 62, 65}, c}, 1, false, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			var strikes [][]int
			for i, chord := range test.chords {
				after := chord[:1]
				if test.rests && i == test.which {
					after = []int{0}
				}
				strikes = append(strikes, chord, after, after, after)
			}
			a := arrange(t, sung(score.Quarter, strikes...), Options{Voicing: Plain, Difficulty: 1}, "accompany")
			for _, n := range a.where(func(n *note) bool { return n.Onset == score.Quarters(4*int64(test.which)) }) {
				switch {
				case n.role == bass && n.leftOut != test.want:
					t.Errorf("the bass %s is left out for %q, want %q", n.Pitch, n.leftOut, test.want)
				case n.role == accompaniment && test.want != "" && rankIn(n.Pitch.Class(), a.chordAt(n.Onset).Chord) == third && n.leftOut != "":
					t.Errorf("the third %s is left out: %s", n.Pitch, n.leftOut)
				}
			}
		})
	}
}

// TestGuideOnce: a third that the melody has in a beat is not struck again after it
// where the hand could strike the seventh ("Arranging for Carillon", lesson "Harmony":
// doubled notes go first).
func TestGuideOnce(t *testing.T) {
	// C7, F, C7, F, in quick eighths under a melody in quarters.
	c7, f := [][]int{{76, 48, 67}, {0, 70, 72, 76}}, [][]int{{77, 53, 72}, {0, 69, 72, 77}}
	strikes := slices.Concat(c7, f, c7, f)
	a := arrange(t, sung(score.Frac(1, 2), strikes...), Options{Voicing: Tenor}, "accompany")
	for _, n := range a.notes {
		if n.Pitch.MIDI() == 70 && n.leftOut != "" {
			t.Errorf("the seventh at %s is left out: %s", n.Onset, n.leftOut)
		}
	}
}

// TestLendFoot: a seventh that the only free hand cannot strike with the third, and a
// free foot can, is the foot's where the pedals have the bass: both feet are the player's
// (City of Mechelen: one pedal per foot).
func TestLendFoot(t *testing.T) {
	// C7, F, C7, F: the bass, then a tritone, too quick to be spread.
	c7, f := [][]int{{84, 48}, {0, 70, 76}}, [][]int{{81, 53}, {0, 72, 77}}
	for _, v := range []Voicing{Plain, Tenor} {
		a := arrange(t, sung(score.Frac(1, 2), slices.Concat(c7, f, c7, f)...), Options{Voicing: v}, "settle")
		for _, n := range a.notes {
			if inPedals := n.seat == feet && n.leftOut == ""; n.Pitch.MIDI() == 70 && inPedals != (v == Plain) {
				t.Errorf("%s: the seventh at %s is in the pedals: %v; left out: %q", v, n.Onset, inPedals, n.leftOut)
			}
		}
	}
}

// TestNoFootUnderGuides: where the bass has given way to the third, no foot strikes the
// seventh, which would be the bass then.
func TestNoFootUnderGuides(t *testing.T) {
	strikes := slices.Concat(tuneOf(83, 83, 0, 84, 88, 88, 88, 88), tuneOf(97, 97, 97, 97, 83, 83, 83, 83), tuneOf(94, 94, 94, 94, 98, 98, 98),
		[][]int{{98, 68}, {81, 45, 61, 68}, {81, 68}})
	a := arrange(t, sung(score.Frac(1, 2), strikes...), Options{Voicing: Plain}, "accompany")
	gave := false
	for _, n := range a.where(func(n *note) bool { return n.Onset == score.Quarters(12) }) {
		gave = gave || n.leftOut == "gives way to the third"
		if n.seat == feet && n.leftOut == "" {
			t.Errorf("a foot strikes %s", n.placed())
		}
	}
	if !gave {
		t.Error("no bass gives way to a third")
	}
}

// TestNoThirdOverLentFoot: no foot strikes a guide over whose bell, while it is loud, the
// hands strike a low major third (T. Gurin, GCNA Bulletin 71).
func TestNoThirdOverLentFoot(t *testing.T) {
	strikes := slices.Concat(tuneOf(89, 89, 89, 89, 74, 74, 0, 75), tuneOf(98, 98, 0, 99, 94, 94, 0, 95), [][]int{{82, 62, 69}, {82, 69}, {78, 73}})
	a := arrange(t, sung(score.Frac(1, 2), strikes...), Options{Voicing: Plain}, "accompany")
	for _, n := range a.where(func(n *note) bool { return n.seat == feet }) {
		t.Errorf("a foot strikes %s at %s, and the hands the third over it", n.placed(), n.Onset)
	}
}

// TestBassGivesWayInVain: a bass that gives way to a guide which nobody strikes after all,
// for want of time, is struck again.
func TestBassGivesWayInVain(t *testing.T) {
	strikes := [][]int{{96, 53}, {0, 76}, {0, 69}, {97}, {77, 53, 76}, {0}, {0}, {0}, {78}, {0}, {0}, {0}, {77, 43, 59}}
	a := arrange(t, sung(score.Frac(1, 2), strikes...), Options{Voicing: Plain, Difficulty: 1}, "accompany")
	for _, n := range a.where(func(n *note) bool { return n.role != tune && n.Onset == score.Quarters(2) }) {
		if isBass := n.Pitch.MIDI() == 53; isBass != (n.leftOut == "") {
			t.Errorf("%s is left out for %q: only the bass is to be struck", n.Pitch, n.leftOut)
		}
	}
}

// TestBassKeepsTheFirstBeat: a bass does not give way to a seventh on the first beat of
// a measure.
func TestBassKeepsTheFirstBeat(t *testing.T) {
	strikes := [][]int{{90}, {0}, {0}, {0}, {96}, {0}, {0}, {97, 69}, {85, 49, 72}, {0}, {0}, {0}, {76}, {0}, {0}, {0, 70}}
	a := arrange(t, sung(score.Quarter, strikes...), Options{Voicing: Plain, Difficulty: 1}, "accompany")
	for _, n := range a.where(func(n *note) bool { return n.role == bass && n.leftOut != "" }) {
		t.Errorf("the bass %s at %s is left out: %s", n.Pitch, n.Onset, n.leftOut)
	}
}

// TestLendFreeFoot: no foot is lent that is late for the bass after it, or whose bell is.
func TestLendFreeFoot(t *testing.T) {
	a := arrange(t, sung(score.Frac(1, 2), []int{67}, []int{0}, []int{0}, []int{0, 65, 59}, []int{100, 53, 69}, []int{0}, []int{0}, []int{0}, []int{75}), Options{Voicing: Plain}, "accompany")
	for _, n := range a.where(func(n *note) bool { return n.seat == feet && n.Onset != score.Quarters(2) }) {
		t.Errorf("a foot strikes %s at %s, just before the bass", n.placed(), n.Onset)
	}
}

// TestGuidesOfBothHands: where both hands are free and strike third and seventh at once,
// neither is a guide again in the beat.
func TestGuidesOfBothHands(t *testing.T) {
	quick := score.Frac(1, 4)
	s := sung(quick, []int{84, 48}, []int{0, 48, 58, 64}, []int{0, 48, 58, 64}, []int{0, 48, 58, 64}, []int{81, 53}, []int{0}, []int{0}, []int{0})
	for i := range s.Parts[0].Measures[0].Notes {
		s.Parts[0].Measures[0].Notes[i].Length = quick // so that the melody rests
	}
	a := arrange(t, s, Options{Voicing: Tenor}, "place bass")
	for _, m := range a.moments() {
		want := 0
		if m.onset == quick {
			want = 2
		}
		if m.onset.Less(score.Quarter) && len(m.guides) != want {
			t.Errorf("at %s: %d guides, want %d", m.onset, len(m.guides), want)
		}
	}
}

// tuneOf are strikes of the melody alone.
func tuneOf(keys ...int) (strikes [][]int) {
	for _, key := range keys {
		strikes = append(strikes, []int{key})
	}
	return strikes
}

// TestSixFour: the hands do not turn a last chord, unless something is under them.
func TestSixFour(t *testing.T) {
	const f, d3, f3, bFlat3 = 5, 50, 53, 58
	for _, c := range []struct {
		name string
		m    moment
		low  int
		want bool
	}{
		{"F under B flat", moment{lastFifth: f, others: []int{bFlat3}}, f3, false},
		{"its third", moment{lastFifth: f, others: []int{bFlat3}}, d3, true},
		{"over a pedal", moment{lastFifth: f, others: []int{46}}, f3, true},
		{"over a pedal that rings", moment{lastFifth: f, rung: rung{bass: 46}}, f3, true},
		{"over the tune", moment{lastFifth: f, sings: true, melody: keyRange{low: 48}}, f3, true},
		{"another chord", moment{lastFifth: -1, others: []int{bFlat3}}, f3, true},
	} {
		if got := c.m.rests(c.low); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
	}
}
