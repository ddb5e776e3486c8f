package voicing

import (
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing/harmony"
	"undersong/voicing/ringing"
)

// waltz is a plain tune of three quarters a measure over a bass on the first and
// chords on the others, a measure for each.
func waltz(tune, bass int, chord ...int) *score.Score {
	p := &score.Part{ID: "P1", Staves: 2}
	for i := range 4 {
		m := &score.Measure{Number: string(rune('1' + i)), Length: score.Quarters(3)}
		add := func(staff int, at, length int64, key int) {
			m.Notes = append(m.Notes, score.Note{
				Staff: staff, Voice: staff, Onset: score.Quarters(at), Length: score.Quarters(length), Pitch: score.Spell(key),
			})
		}
		add(1, 0, 2, tune)
		add(1, 2, 1, tune+2)
		add(2, 0, 1, bass)
		for beat := range int64(2) {
			for _, key := range chord {
				add(2, 1+beat, 1, key)
			}
		}
		p.Measures = append(p.Measures, m)
	}
	p.Measures[0].Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{3}, Unit: 4}}}}}
	return &score.Score{Parts: []*score.Part{p}}
}

// TestRingingThird: the chords after a bass leave its third to a higher octave, or
// strike another tone.
func TestRingingThird(t *testing.T) {
	for _, c := range []struct {
		name  string
		score *score.Score
		want  int // a key that is struck
	}{
		{"the fifth instead", waltz(67, 43, 59, 62), 62},
		{"the third an octave higher", waltz(76, 38, 54, 57), 66},
	} {
		result, _ := voiced(t, c.score, Options{Voicing: Plain})
		struck := map[int]bool{}
		for _, l := range strokes(result) {
			for _, key := range append(l.left, l.right...) {
				struck[key] = true
			}
			for _, key := range l.feet {
				struck[key] = true
			}
		}
		if !struck[c.want] || struck[55] && struck[59] || struck[50] && struck[54] {
			t.Errorf("%s: struck are %v", c.name, struck)
		}
	}
}

// TestNothingUnderTheBass: a seventh is not struck under the root that the feet
// have struck and that still rings, which would make a bass of it.
func TestNothingUnderTheBass(t *testing.T) {
	s := scoretest.Score(t, sharedScore(t, "Santa_Lucia.musicxml"))
	result, _ := voiced(t, s, Options{Voicing: Plain})
	starts := result.Starts()
	for _, measure := range []int{6, 14} { // G7
		for at, l := range strokes(result) {
			for _, key := range append(l.left, l.right...) {
				if !at.Less(starts[measure]) && at.Less(starts[measure+1]) && key < 55 {
					t.Errorf("at %s quarters the hands strike %d under the bass", at, key)
				}
			}
		}
	}
}

// TestNoThirdRings: in no result do the hands strike accompaniment a major third
// over a low bell that the feet struck last and that has not faded.
func TestNoThirdRings(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		clock := o.result.Clock()
		feet, rings := score.Time{}, []int(nil) // struck last, and when
		tones := o.result.Tones()
		for from := 0; from < len(tones); {
			at, to := tones[from].Onset, from
			for to < len(tones) && tones[to].Onset == at {
				to++
			}
			struck := []int(nil)
			for _, tone := range tones[from:to] {
				if n := tone.First(); n.Staff == 2 && !n.Grace {
					struck = append(struck, n.Pitch.MIDI())
				}
			}
			for _, tone := range tones[from:to] {
				n, key := tone.First(), tone.First().Pitch.MIDI()
				if n.Grace || struck != nil {
					continue
				}
				for _, low := range rings {
					ago := clock.Seconds(at) - clock.Seconds(feet)
					if key > low && instrument.RoughThird(low, key) && ago < ringing.Loud(o.tower, low) && !o.report.Tune(&tone) {
						t.Errorf("at %s quarters %d is struck over %d, struck %.1f s before", at, key, low, ago)
					}
				}
			}
			if struck != nil {
				feet, rings = at, struck
			}
			from = to
		}
	})
}

// TestRungThird: third and seventh, which may lie lower than the rest, are not left out
// for the third that rings where they have a key under it.
func TestRungThird(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	m := &moment{tower: tower, room: room{low: 60, lowest: 48, high: 66}, rung: rung{keys: []int{58}}} // A#3 under D4
	for rank, want := range map[degreeRank]bool{third: false, seventh: false, fifth: true} {
		if got := m.rungThird(2, rank); got != want {
			t.Errorf("a %s lies nowhere but over what rings: %v, want %v", rank, got, want)
		}
	}
}

// TestNoBassUnderAThird: a bass over which the melody comes to a low major third, while
// it rings, is not in the pedals (T. Gurin, GCNA Bulletin 71).
func TestNoBassUnderAThird(t *testing.T) {
	strikes := [][]int{{64, 45}, {61}, {56}, {65}, {55, 47}, {62}, {66}, {67}}
	a := arrange(t, sung(score.Quarter, strikes...), Options{Voicing: Tenor}, "place bass")
	for _, n := range a.with(bass) {
		t.Errorf("the feet strike %s at %s", n.placed(), n.Onset)
	}
}

// TestStillBass: a bass is still one under the next chord if that is over it.
func TestStillBass(t *testing.T) {
	for name, c := range map[string]struct {
		next []int
		want bool
	}{
		"Bb7":    {[]int{77, 58, 62, 68}, true},
		"Eb":     {[]int{75, 51, 55, 58}, false},
		"Ab":     {[]int{75, 56, 60, 63}, false},
		"Gm/Bb":  {[]int{79, 58, 62, 67}, true},
		"itself": {[]int{67, 58, 63, 67}, true},
	} {
		strikes := [][]int{{79, 46, 63, 67}, {79}, {79}, {79}, c.next, c.next[:1], c.next[:1], c.next[:1]}
		a := arrange(t, sung(score.Quarter, strikes...), Options{Voicing: Plain}, "place bass")
		b := a.where(func(n *note) bool { return n.Pitch.MIDI() == 46 })[0]
		if got := a.stillBass(b, score.Quarters(4)); got != c.want {
			t.Errorf("%s: %v; the chord is %s", name, got, harmony.Name(a.chordAt(score.Quarters(4)).Chord))
		}
	}
}
