package sound_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"undersong/instrument/sound"
	"undersong/score"
)

// chord is a score of one staff with a chord of whole notes; it transposes by
// so many semitones.
func chord(semitones int, midi ...int) *score.Score {
	m := &score.Measure{Length: score.Whole, Transposes: []score.TransposeChange{{Transposition: score.Interval(semitones)}}}
	for i, n := range midi {
		m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: i + 1, Length: score.Whole, Pitch: score.Spell(n)})
	}
	return &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}}
}

// TestStrokesKeys: a carillon score says keys, whatever it and the tower sound
// (TowerBells.org: its notation stays in C); any other says sounding notes.
func TestStrokesKeys(t *testing.T) {
	low := *named(t, "47")
	low.Transposition = -4
	for _, tt := range []struct {
		name      string
		semitones int
		written   int
		want      int
	}{
		{"piano", 0, 60, 60},
		{"a clarinet in B flat", -2, 60, 58},
		{"a horn", -7, 67, 60},
		{"a carillon score of a tower in C", 12, 60, 60},
		{"one of this tower", 8, 60, 60},
	} {
		strokes := strokesOf(t, chord(tt.semitones, tt.written), &low)
		if len(strokes) != 1 || strokes[0].Key != tt.want {
			t.Errorf("%s: %+v, want key %d", tt.name, strokes, tt.want)
		}
	}
}

// TestStrokesTogether: hand and foot on one key are one stroke (TowerBells.org,
// "Keyboard Ranges"), as loud as the louder; bells that the tower lacks are
// told.
func TestStrokesTogether(t *testing.T) {
	s := chord(12, 60, 60, 49, 64)
	s.Parts[0].Measures[0].Notes[1].Marks = []score.Mark{{Name: "accent"}}
	p, err := s.Performed()
	if err != nil {
		t.Fatal(err)
	}
	strokes, missing := sound.Strokes(p, named(t, "47"), nil)
	if got := fmt.Sprintf("%+v", strokes); got != "[{Seconds:0 Key:60 Marks:1 Strike:2} {Seconds:0 Key:64 Marks:0 Strike:3}]" {
		t.Error(got)
	}
	if len(missing) != 1 || p.Strikes[missing[0]].Pitch.MIDI() != 49+12 {
		t.Errorf("missing %v; the tower has no C#3", missing)
	}
	strokes, _ = sound.Strokes(p, named(t, "47"), func(s *score.Strike) bool { return s.Pitch.MIDI() == 76 })
	if len(strokes) != 1 || strokes[0].Key != 64 {
		t.Errorf("wanted key 64 alone, got %+v", strokes)
	}
}

// TestVelocities: the difference of two levels is 40 times the logarithm of the
// ratio of the velocities (Downloadable Sounds Level 1; Dannenberg 2006).
func TestVelocities(t *testing.T) {
	tower := named(t, "47")
	strokes := []sound.Stroke{{Key: 48, Marks: 0}, {Key: 48, Marks: -2}, {Key: 72, Marks: 0}, {Key: 96, Marks: -4}}
	v := sound.Velocities(tower, strokes)
	if v[0] != 127 {
		t.Errorf("the loudest has %d", v[0])
	}
	for i, s := range strokes[1:] {
		want := tower.Level(s.Key, 0) + tower.Dynamics*s.Marks - tower.Level(48, 0)
		if got := 40 * math.Log10(float64(v[i+1])/127); math.Abs(got-want) > 1.5 {
			t.Errorf("stroke %d: velocity %d is %.1f dB, want %.1f", i+1, v[i+1], got, want)
		}
	}
}

// TestHeard: what is faint at a distance is told; the smallest bells are the
// first to be lost, and farther on more of them.
func TestHeard(t *testing.T) {
	tower := named(t, "47")
	var strokes []sound.Stroke
	for b := range tower.Bells() {
		strokes = append(strokes, sound.Stroke{Key: b.Key})
	}
	lost := 0
	for _, metres := range []float64{5, 100, 300, 600, 1200, 2400} {
		r := &sound.Recording{Tower: tower, Strokes: strokes, Place: sound.Place{Metres: metres, Air: sound.CoolAir}}
		h, err := r.Heard(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%v m: %.0f to %.0f dB, %d bells not heard", metres, h.Faintest, h.Loudest, len(h.Unheard))
		for key := range h.Unheard {
			for above := key + 1; above <= 96; above++ {
				if tower.Manual.Has(above) && h.Unheard[above] == 0 {
					t.Errorf("%v m: key %d is not heard, but %d is", metres, key, above)
				}
			}
		}
		if len(h.Unheard) < lost {
			t.Errorf("%v m: %d bells lost, nearer %d", metres, len(h.Unheard), lost)
		}
		lost = len(h.Unheard)
	}
	if lost == 0 || lost == 47 {
		t.Errorf("%d of 47 bells lost at 2400 m", lost)
	}
}

func TestRecordingErrors(t *testing.T) {
	tower := named(t, "47")
	near := sound.Place{Metres: 5, Air: sound.CoolAir}
	for _, tt := range []struct {
		r    sound.Recording
		want string
	}{
		{sound.Recording{Tower: tower, Place: near}, "nothing to hear"},
		{sound.Recording{Tower: tower, Strokes: []sound.Stroke{{Key: 60}}}, "listen from 1 to 10000 m away"},
		{sound.Recording{Tower: tower, Place: near, Strokes: []sound.Stroke{{Key: 49}}}, "which the tower does not have"},
		{sound.Recording{Tower: tower, Place: near, Strokes: []sound.Stroke{{Key: 60, Seconds: 2}, {Key: 60, Seconds: 1}}}, "in time order"},
		{sound.Recording{Tower: tower, Place: near, Strokes: []sound.Stroke{{Key: 60, Seconds: 1e6}}}, "play a part of it"},
	} {
		if _, err := tt.r.Heard(t.Context()); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%v, want %q", err, tt.want)
		}
	}
}
