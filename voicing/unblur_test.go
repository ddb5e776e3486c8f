package voicing

import (
	"slices"
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing/harmony"
	"undersong/voicing/melody"
)

// TestUnblur: in measures that what rings makes muddy, the accompaniment loses notes
// that are told, and the melody none.
func TestUnblur(t *testing.T) {
	thinned := 0
	eachScore(t, func(t *testing.T, s *score.Score) {
		_, report := voiced(t, s, Options{})
		for _, c := range report.Changes {
			if c.Pass != "unblur" {
				continue
			}
			thinned++
			if c.What != accompaniment.String() || c.LeftOut == "" {
				t.Errorf("%+v", c)
			}
		}
	})
	if t.Logf("%d notes", thinned); thinned == 0 {
		t.Error("nothing is thinned")
	}
}

// TestUnblurKeepsTheLastStrike: a measure does not lose its only strike of the
// accompaniment, muddy as it may be.
func TestUnblurKeepsTheLastStrike(t *testing.T) {
	s := scoretest.Score(t, "testdata/one-strike-in-a-measure.musicxml")
	for _, v := range Voicings() {
		for _, c := range voicedReport(t, s, v).Changes {
			if c.Pass == "unblur" && c.Measure == "2" {
				t.Errorf("%s: %+v", v, c)
			}
		}
	}
}

func voicedReport(t *testing.T, s *score.Score, v Voicing) *Report {
	t.Helper()
	_, report := voiced(t, s, Options{Voicing: v})
	return report
}

// TestUnblurPassingFirst: where a passing note rings into the tone of the chord that it
// leads to, it is the passing note that goes.
func TestUnblurPassingFirst(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		a := arrange(t, s, Options{Voicing: Plain}, "unblur")
		for _, c := range a.report.Changes {
			if c.Pass != "unblur" || a.rankOf(c.of) == addedTone {
				continue
			}
			for _, n := range a.played() {
				leads := n.End() == c.of.Onset && n.First().Voice == c.of.First().Voice && abs(n.key()-c.of.key()) <= 2
				if leads && n.role == accompaniment && a.rankOf(n) == addedTone {
					t.Errorf("measure %s, beat %s: the passing note %s stays and the %s %s goes", c.Measure, c.Beat, n.Pitch, a.rankOf(c.of), c.of.Pitch)
				}
			}
		}
	})
}

// rankOf is what a note is in the chord that sounds with it.
func (a *arrangement) rankOf(n *note) degreeRank {
	return rankIn(n.Pitch.Class(), a.chordAt(n.Onset).Chord)
}

// TestUnblurKeepsChords: a chord that comes on a beat does not lose the last of what the
// measure strikes of it beside the melody.
func TestUnblurKeepsChords(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		tones, starts := s.Tones(), s.Starts()
		spans := harmony.Find(s, tones, melody.Find(s, tones, melody.Options{}).Tones)
		for _, v := range []Voicing{Plain, Inverted} {
			result, report := voiced(t, s, Options{Voicing: v})
			struck := result.Tones()
			for _, c := range report.Changes {
				if c.Pass != "unblur" {
					continue
				}
				chord := spans[slices.IndexFunc(spans, func(h harmony.Span) bool { return c.of.Onset.Less(h.To) })]
				left := slices.ContainsFunc(struck, func(t score.Tone) bool {
					in := !t.Onset.Less(chord.From) && t.Onset.Less(chord.To)
					return in && !t.Onset.Less(starts[c.Index]) && t.Onset.Less(starts[c.Index+1]) && !report.Tune(&t)
				})
				if onBeat := !strings.Contains(c.Beat, "/"); !left && onBeat && chord.From == c.of.Onset {
					t.Errorf("%s: measure %s, beat %s: the last %s of its chord goes", v, c.Measure, c.Beat, c.of.Pitch)
				}
			}
		}
	})
}
