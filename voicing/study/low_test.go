package study

import (
	"testing"

	"undersong/score"
	"undersong/voicing"
)

// TestWholeAndThere: of three phrases the pedals hold two whole, and two are in them, but
// only one is both.
func TestWholeAndThere(t *testing.T) {
	s := music{scale, 1, score.Quarter, 72, 0}.score()
	tone := s.Tones()[0]
	phrase := []*score.Tone{&tone}
	l := &low{all: 3, held: 2}
	l.voicedAs(phrase, []voicing.PlacedNote{{Pedals: false}}, true)
	l.voicedAs(phrase, []voicing.PlacedNote{{Pedals: true}}, true)
	l.voicedAs(phrase, []voicing.PlacedNote{{Pedals: true}}, false)
	m := &meter{places: newPlaces(s)}
	if r := m.pedals(l); r.Value != rounded(1./3) || r.Speaks != Against {
		t.Errorf("%+v", r)
	}
}
