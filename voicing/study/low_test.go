package study

import (
	"strings"
	"testing"

	"undersong/score"
	"undersong/voicing"
)

// TestWholeAndThere: of three phrases the left hand has one and one changes its octave, so
// one is in the pedals whole, and the text says no other figure than the value.
func TestWholeAndThere(t *testing.T) {
	a := Analyse(music{scale, 1, score.Quarter, 72, 0}.score(), nil)
	m := newMeter(a, tower(t, "47"))
	phrase := []*score.Tone{&a.Tones[0], &a.Tones[1]}
	l := &low{}
	l.voicedAs(m, phrase, []voicing.PlacedNote{{Octaves: -1}, {Octaves: -1}}, nil)
	l.voicedAs(m, phrase, []voicing.PlacedNote{{Octaves: -1, Pedals: true}, {Octaves: -1, Pedals: true}}, nil)
	l.voicedAs(m, phrase, []voicing.PlacedNote{{Octaves: -1, Pedals: true}, {Octaves: 0, Pedals: true}}, &voicing.Elsewhere{At: 1, Why: "it is so"})
	if r := m.pedals(l); r.Value != rounded(1./3) || r.Speaks != Against || r.Beat != "2" ||
		r.Text != "1 of 3 phrases would be in the pedals whole, 1 in the left hand or partly so: it is so" {
		t.Errorf("%+v", r)
	}
}

// TestRises: a low tune for which a key is missing goes up, and nothing says that it lies low as it
// is.
func TestRises(t *testing.T) {
	v := music{[]int{50, 52, 53, 55, 57, 53, 50, 49}, 4, score.Quarter, 60, 0}.verdict(t, tower(t, "47"))
	if r := v.reason(t, "pedals"); r.Speaks != Care || r.Measure != "2" || r.Beat != "4" ||
		!strings.HasSuffix(r.Text, " would lie higher than written: as written the pedals have no C#3") {
		t.Errorf("%+v", r)
	}
	if r := v.reason(t, "strength"); r.Speaks != Care || r.Value > -6 || !strings.HasPrefix(r.Text, "the melody loses ") {
		t.Errorf("%+v", r)
	}
}
