package plan

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/ringing"
	"undersong/voicing/study"
)

// TestWrittenOutSoundsTheSame: a score whose repeats are written out, as for a
// time of its own, strikes what the order of performance does, when it does.
func TestWrittenOutSoundsTheSame(t *testing.T) {
	type strike struct {
		Onset, Pitch string
	}
	strikes := func(t *testing.T, s *score.Score) []strike {
		p, err := s.Performed()
		if err != nil {
			t.Fatal(err)
		}
		var all []strike
		for _, x := range p.Strikes {
			all = append(all, strike{x.Onset.String(), x.Note.Pitch.String()})
		}
		return all
	}
	unfolded := 0
	for _, file := range append(scoretest.Shared(t), song) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			s := scoretest.Score(t, file)
			out, err := s.WrittenOut()
			if err != nil {
				t.Fatal(err)
			}
			if out.MeasureCount() > s.MeasureCount() {
				unfolded++
			}
			if diff := cmp.Diff(strikes(t, s), strikes(t, out)); diff != "" {
				t.Errorf("(-as performed +written out)\n%s", diff)
			}
		})
	}
	if unfolded == 0 {
		t.Error("no score has repeats")
	}
}

// TestSeams: where sections are voiced in turns plain and inverted, hands and
// feet get over every seam, and the melody is moved by whole octaves, a phrase
// always alike.
func TestSeams(t *testing.T) {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	seams := 0
	for _, file := range append(scoretest.Shared(t), song) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			a := study.Analyse(scoretest.Score(t, file), nil)
			p := &Plan{Voicing: voicing.Plain}
			for i := 1; i < len(a.Sections); i += 2 {
				p.Items = append(p.Items, Item{Where: itoa(i, a), Voicing: voicing.Inverted})
			}
			s, o, err := p.Resolve(a)
			if err != nil {
				t.Fatal(err)
			}
			o.Tower = tower
			seams += 2 * len(o.Sections)
			result, _, err := voicing.Voice(s, o)
			if err != nil {
				t.Fatal(err)
			}
			found, err := check.Score(result, check.Options{Tower: tower})
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range found.Findings {
				if f.Category == check.Unplayable || f.Category == check.Compass {
					t.Errorf("measure %s: %s", f.Measure, f.Text)
				}
			}
			checkLeaps(t, a, result)
		})
	}
	if seams == 0 {
		t.Error("there are no seams")
	}
}

// hardSeams are such as only a bass or a grace note that gives way makes playable.
var hardSeams = []struct {
	score, tower, where string
	voicing             voicing.Voicing
}{
	{"Paradis", "49-short", "9-17", voicing.Plain}, {"Paradis", "35", "8-10", voicing.Plain}, {"Paradis", "47", "3-11", voicing.Tenor},
}

// TestSeamsAnywhere: wherever measures are voiced otherwise than the rest, also
// where that parts a phrase, hands and feet can do what they can in a piece voiced
// throughout in one of the two ways.
func TestSeamsAnywhere(t *testing.T) {
	for _, name := range []string{"35", "47", "49-short"} {
		tower, err := instrument.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range scoretest.Shared(t) {
			a := study.Analyse(scoretest.Score(t, file), nil)
			unplayable := func(p *Plan) int {
				s, o, err := p.Resolve(a)
				if err != nil {
					t.Fatal(err)
				}
				o.Tower = tower
				result, _, err := voicing.Voice(s, o)
				if err != nil {
					t.Fatal(err)
				}
				found, err := check.Playable(result, tower)
				if err != nil {
					t.Fatal(err)
				}
				n := 0
				for _, f := range found {
					if f.Category != check.TooFast {
						n++
					}
				}
				return n
			}
			for _, known := range hardSeams {
				if strings.HasPrefix(filepath.Base(file), known.score) && name == known.tower {
					p := &Plan{Voicing: voicing.Inverted, Items: []Item{{Where: known.where, Voicing: known.voicing}}}
					if n := unplayable(p); n > 0 {
						t.Errorf("%s on %s, measures %s %s: %d strokes cannot be played", filepath.Base(file), name, known.where, known.voicing, n)
					}
				}
			}
			numbers := a.Score.MeasureNumbers()
			for from := 0; from+2 < len(numbers); from += 3 {
				base, other := voicing.Voicings()[from/3%4], voicing.Voicings()[(from/3+1)%4]
				p := &Plan{Voicing: base, Items: []Item{{Where: numbers[from] + "-" + numbers[from+2], Voicing: other}}}
				if got, most := unplayable(p), max(unplayable(&Plan{Voicing: base}), unplayable(&Plan{Voicing: other})); got > most {
					t.Errorf("%s on %s, %s, measures %s %s: %d strokes cannot be played, throughout %d", filepath.Base(file), name, base, p.Items[0].Where, other, got, most)
				}
			}
		}
	}
}

// TestRingingAtSeams: where the voicing changes, what rings of the section before
// seldom makes an entry muddy that would be clear in a piece voiced throughout like
// what enters.
func TestRingingAtSeams(t *testing.T) {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	seams, clashes := 0, 0
	for _, file := range append(scoretest.Shared(t), song) {
		a := study.Analyse(scoretest.Score(t, file), nil)
		if len(a.Sections) < 2 {
			continue
		}
		blur := func(p *Plan) []check.Measure {
			s, o, err := p.Resolve(a)
			if err != nil {
				t.Fatal(err)
			}
			o.Tower = tower
			result, report, err := voicing.Voice(s, o)
			if err != nil {
				t.Fatal(err)
			}
			found, err := check.Score(result, check.Options{Tower: tower, Tune: report.Tune})
			if err != nil {
				t.Fatal(err)
			}
			return found.Measures
		}
		turns := &Plan{Voicing: voicing.Plain}
		for i := 1; i < len(a.Sections); i += 2 {
			turns.Items = append(turns.Items, Item{Where: itoa(i, a), Voicing: voicing.Inverted})
		}
		inTurns := blur(turns)
		throughout := [][]check.Measure{blur(&Plan{Voicing: voicing.Plain}), blur(&Plan{Voicing: voicing.Inverted})}
		for i := 1; i < len(a.Sections); i++ {
			seams++
			at := a.Sections[i].First
			if now := inTurns[at]; now.Blur > ringing.Muddy && throughout[i%2][at].Blur <= ringing.Muddy {
				clashes++
				t.Logf("%s, measure %s: %.2f, throughout %.2f", filepath.Base(file), now.Number, now.Blur, throughout[i%2][at].Blur)
			}
		}
	}
	t.Logf("%d of %d seams clash", clashes, seams)
	if seams == 0 || 10*clashes > seams {
		t.Errorf("%d of %d seams clash", clashes, seams)
	}
}

// itoa is the measures of section i by their numbers.
func itoa(i int, a *study.Analysis) string {
	sec := a.Sections[i]
	m := a.Score.Parts[0].Measures
	if sec.First == sec.Last {
		return m[sec.First].Number
	}
	return m[sec.First].Number + "-" + m[sec.Last].Number
}

// checkLeaps holds every phrase of the melody to one move by octaves.
func checkLeaps(t *testing.T, a *study.Analysis, result *score.Score) {
	t.Helper()
	keys := map[score.Time][]int{}
	for _, tone := range result.Tones() {
		if !tone.First().Grace {
			keys[tone.Onset] = append(keys[tone.Onset], tone.First().Pitch.MIDI())
		}
	}
	for _, p := range a.Melody.Phrases {
		moves := map[int]bool{} // that all notes of the phrase can have
		for octaves := -6; octaves <= 6; octaves++ {
			moves[octaves] = true
		}
		for _, i := range a.Melody.Tones[p.First:p.Last] {
			tone := &a.Tones[i]
			here := map[int]bool{}
			for _, key := range keys[tone.Onset] {
				if d := key - tone.Pitch.MIDI(); d%12 == 0 {
					here[d/12] = true
				}
			}
			for octaves := range moves {
				if !here[octaves] {
					delete(moves, octaves)
				}
			}
			if len(here) == 0 {
				t.Errorf("the melody's %s at %s is gone", tone.Pitch, tone.Onset)
				return
			}
		}
		if len(moves) == 0 {
			t.Errorf("a phrase of %d notes from %s on is not moved as one", p.Last-p.First, a.Tones[a.Melody.Tones[p.First]].Onset)
		}
	}
}
