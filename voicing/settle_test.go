package voicing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score"
)

// TestLeftOutInVain: whatever is left out because it cannot be played, or to free a limb
// for the melody, would make more impossible if it were struck.
func TestLeftOutInVain(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		a := arrange(t, o.doc.Score(), Options{Tower: o.tower, Voicing: o.voicing}, "settle")
		impossible := func() (count int) {
			for _, p := range a.player.Assign(a.strokes(a.played())).Problems {
				if p.Reason.Impossible() {
					count++
				}
			}
			return count
		}
		without := impossible()
		for _, c := range a.report.Changes {
			if c.Pass != "settle" || c.LeftOut == "" {
				continue
			}
			c.of.leftOut = ""
			if impossible() <= without {
				t.Errorf("%s in measure %s, beat %s, is left out in vain: %s", c.Note, c.Measure, c.Beat, c.LeftOut)
			}
			c.of.leftOut = c.LeftOut
		}
	})
}

// TestPutBackBesideTheImpossible: a note is struck again though something near it cannot
// be played, as long as that is so without it.
func TestPutBackBesideTheImpossible(t *testing.T) {
	strikes := slices.Concat(tuneOf(84, 84, 84), slices.Repeat(tuneOf(0), 25), [][]int{{84, 64}})
	a := arrange(t, sung(score.Frac(1, 16), strikes...), Options{Voicing: Plain}, "accompany")
	rest := a.with(accompaniment)
	if len(rest) != 1 {
		t.Fatalf("%d notes of accompaniment, want one", len(rest))
	}
	n := rest[0]
	n.leftOut = "in vain"
	if a.impossibleNear(n) == 0 {
		t.Error("the melody can be played: the case shows nothing")
	}
	if !a.putBack(rest) || n.leftOut != "" {
		t.Error("the note is not struck again")
	}
}

// TestSlowFeet: what makes a stroke impossible is looked for as far back as the tower's
// own feet need.
func TestSlowFeet(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	tower.Player.FootSpeed = 100
	rest := []int{84}
	a := arrange(t, sung(score.Quarter, []int{84, 48, 50}, rest, rest, rest, []int{84, 67}), Options{Tower: tower, Voicing: Plain}, "accompany")
	var last *note
	for _, n := range a.where(func(n *note) bool { return n.role != tune }) {
		n.role, n.seat, n.octaves, n.leftOut = bass, feet, 0, ""
		last = n
	}
	if a.impossibleNear(last) == 0 {
		t.Errorf("the feet strike the other end of the pedals %.1f s later", last.at)
	}
}

// TestToFeet: on the beat the feet strike what no hand can beside a quick melody, if it
// is the lowest note: plain, where they have the bass.
func TestToFeet(t *testing.T) {
	var strikes [][]int
	for _, low := range []int{64, 62, 64, 62} {
		strikes = append(strikes, []int{81, low}, []int{79}, []int{78}, []int{79}, []int{81}, []int{83})
	}
	for _, v := range []Voicing{Plain, Tenor} {
		a := arrange(t, sung(score.Frac(1, 6), strikes...), Options{Voicing: v}, "settle")
		for _, n := range a.where(func(n *note) bool { return n.Pitch.MIDI() < 70 }) {
			if inPedals := n.seat == feet && n.leftOut == ""; inPedals != (v == Plain) {
				t.Errorf("%s: %s at %s is in the pedals: %v, left out: %q", v, n.Pitch, n.Onset, inPedals, n.leftOut)
			}
		}
	}
}

// TestGraceChords: grace notes of a chord are struck and written together, whichever of them
// is left out, and no other joins them.
func TestGraceChords(t *testing.T) {
	grace := func(key int, chord bool) score.Note {
		return score.Note{Staff: 1, Voice: 1, Onset: score.Quarter, Pitch: score.Spell(key), Grace: true, GraceChord: chord}
	}
	note := func(onset score.Time) score.Note {
		return score.Note{Staff: 1, Voice: 1, Onset: onset, Length: score.Quarter, Pitch: score.Spell(72)}
	}
	for gone, want := range map[int]string{0: "0 0.7 0.85 0.85 1", 74: "0 0.85 0.85 1", 76: "0 0.7 0.85 1", 79: "0 0.7 0.85 1"} {
		m := &score.Measure{Number: "1", Length: score.Quarters(2), Notes: []score.Note{note(score.Time{}), grace(74, false), grace(76, false), grace(79, true), note(score.Quarter)}}
		m.Directions = []score.Direction{{Sound: score.Sound{Tempo: 60}}}
		a := arrange(t, &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}, Options{Voicing: Plain}, "balance")
		for _, n := range a.notes {
			if n.Pitch.MIDI() == gone {
				n.leftOut = "to see what comes of it"
			}
		}
		var at []string
		for _, s := range times(a.played()) {
			at = append(at, fmt.Sprintf("%.3g", s))
		}
		if got := strings.Join(at, " "); got != want {
			t.Errorf("without %d struck at %s, want %s", gone, got, want)
		}
		joined := 0
		for _, n := range a.layOut().Parts[0].Measures[0].Notes {
			if n.GraceChord {
				joined++
			}
		}
		if both := gone == 0 || gone == 74; both != (joined == 1) {
			t.Errorf("without %d %d are written with the grace note before", gone, joined)
		}
	}
}
