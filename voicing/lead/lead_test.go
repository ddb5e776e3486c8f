package lead

import (
	"fmt"
	"strings"
	"testing"

	"undersong/score"
	"undersong/voicing/harmony"
)

// sheet is a measure of four quarter notes with chord symbols, one to each so
// many quarters.
func sheet(length int64, chords ...score.ChordSymbol) *score.Score {
	m := &score.Measure{
		Number: "1", Length: score.Quarters(4),
		Times: []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}}},
		Notes: []score.Note{{Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(72)}},
	}
	for i, c := range chords {
		c.Onset = score.Quarters(int64(i) * length)
		m.Chords = append(m.Chords, c)
	}
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
}

func realised(t *testing.T, s *score.Score, f Figure) *score.Part {
	t.Helper()
	return styled(t, s, Style{Figure: f})
}

func styled(t *testing.T, s *score.Score, style Style) *score.Part {
	t.Helper()
	s.Parts[0].Measures[0].Keys = []score.KeyChange{{}} // C major
	out := Realise(s, harmony.Find(s, s.Tones(), []int{0}), func(score.Time) Style { return style }, harmony.Key{})
	for _, e := range score.Check(out) {
		t.Error(e)
	}
	return out.Parts[1]
}

// TestEveryKind: struck together, a chord of every kind has the pitch classes
// that package harmony has for it, which its own tests hold against the table of
// MusicXML 4.0, and its bass below.
func TestEveryKind(t *testing.T) {
	kinds := []string{
		"major", "minor", "augmented", "diminished", "dominant", "major-seventh", "minor-seventh", "diminished-seventh",
		"augmented-seventh", "half-diminished", "major-minor", "major-sixth", "minor-sixth", "dominant-ninth", "major-ninth",
		"minor-ninth", "dominant-11th", "major-11th", "minor-11th", "dominant-13th", "major-13th", "minor-13th",
		"suspended-second", "suspended-fourth", "Neapolitan", "Italian", "French", "German", "pedal", "power", "Tristan",
	}
	for _, kind := range kinds {
		for root := 48; root < 60; root++ {
			for _, bass := range []int{0, 7} {
				c := score.ChordSymbol{HasRoot: true, Root: score.Spell(root), Kind: kind}
				if bass > 0 {
					c.HasBass, c.Bass = true, score.Spell(root+bass)
				}
				// The functional sixths are known by the key only.
				want := harmony.InKey(c, harmony.Key{})
				low := want.Root.Class()
				if want.HasBass {
					low = want.Bass.Class()
				}
				var got harmony.Classes
				lowest := 127
				for _, n := range realised(t, sheet(4, c), Held).Measures[0].Notes {
					got = got.With(n.Pitch.Class())
					lowest = min(lowest, n.Pitch.MIDI())
				}
				if got != harmony.ClassesOf(want) || lowest%12 != low {
					t.Errorf("%s has %012b over %d", harmony.Name(c), got, lowest)
				}
			}
		}
	}
}

// TestNoChord: where a symbol says that there is none, nothing is played.
func TestNoChord(t *testing.T) {
	part := realised(t, sheet(2, score.ChordSymbol{HasRoot: true, Root: score.Spell(48), Kind: "major"}, score.ChordSymbol{Kind: "none"}), Struck)
	for _, n := range part.Measures[0].Notes {
		if n.End().Cmp(score.Quarters(2)) > 0 {
			t.Errorf("%s sounds until %s", n.Pitch, n.End())
		}
	}
}

func TestFigures(t *testing.T) {
	c := score.ChordSymbol{HasRoot: true, Root: score.Spell(48), Kind: "major"}
	for figure, want := range map[Figure]string{
		Held:       "0:C2,G3,E4",
		Struck:     "0:C2,G3,E4 2:C2,G3,E4",
		AfterBeat:  "0:C2 1:G3,E4 2:C2 3:G3,E4",
		BrokenUp:   "0:C2 1/2:G3 1:E4 3/2:C2 2:G3 5/2:E4 3:C2 7/2:G3",
		BrokenDown: "0:C2 1/2:E4 1:G3 3/2:C2 2:E4 5/2:G3 3:C2 7/2:E4",
		Tremolo: "0:C2,G3 1/4:E4 1/2:G3 3/4:E4 1:G3 5/4:E4 3/2:G3 7/4:E4 " +
			"2:G3 9/4:E4 5/2:G3 11/4:E4 3:G3 13/4:E4 7/2:G3 15/4:E4",
		Rocking: "0:C2 1/2:E4 1:G3 3/2:E4 2:C2 5/2:E4 3:G3 7/2:E4",
	} {
		got := written(realised(t, sheet(4, c), figure).Measures[0])
		if got != want {
			t.Errorf("%s: %s, not %s", figure, got, want)
		}
	}
}

// TestFull: a full chord after the beat has three tones at least, with the bass's if need
// be; struck with the bass, it has what it always has.
func TestFull(t *testing.T) {
	for _, c := range []struct {
		kind   string
		figure Figure
		want   string
	}{
		{"major", AfterBeat, "0:C2 1:G3,C4,E4 2:C2 3:G3,C4,E4"},
		{"dominant", AfterBeat, "0:C2 1:G3,Bb3,E4 2:C2 3:G3,Bb3,E4"},
		{"major", Struck, "0:C2,G3,E4 2:C2,G3,E4"},
	} {
		chord := score.ChordSymbol{HasRoot: true, Root: score.Spell(48), Kind: c.kind}
		if got := written(styled(t, sheet(4, chord), Style{Figure: c.figure, Full: true}).Measures[0]); got != c.want {
			t.Errorf("%s, %s: %s, not %s", c.kind, c.figure, got, c.want)
		}
	}
}

// TestTwoChords: two chords in a measure have their bass and their chord by turns
// where the figure says so; one beat is too short for that.
func TestTwoChords(t *testing.T) {
	c := func(root int) score.ChordSymbol {
		return score.ChordSymbol{HasRoot: true, Root: score.Spell(root), Kind: "major"}
	}
	two := written(realised(t, sheet(2, c(48), c(55)), AfterBeat).Measures[0])
	if want := "0:C2 1:G3,E4 2:G2 3:B3,D4"; two != want {
		t.Errorf("%s, not %s", two, want)
	}
	four := written(realised(t, sheet(1, c(48), c(55), c(48), c(55)), AfterBeat).Measures[0])
	if want := "0:C2,G3,E4 1:G2,B3,D4 2:C2,G3,E4 3:G2,B3,D4"; four != want {
		t.Errorf("%s, not %s", four, want)
	}
}

// written is what a measure strikes, moment by moment.
func written(m *score.Measure) string {
	var all []string
	for i, n := range m.Notes {
		if i > 0 && n.Onset == m.Notes[i-1].Onset {
			all[len(all)-1] += "," + n.Pitch.String()
			continue
		}
		all = append(all, fmt.Sprintf("%s:%s", n.Onset, n.Pitch))
	}
	return strings.Join(all, " ")
}

func TestChoose(t *testing.T) {
	four := []score.Time{score.Quarter, score.Quarter, score.Quarter, score.Quarter}
	compound := []score.Time{score.Frac(3, 2), score.Frac(3, 2)}
	for _, c := range []struct {
		beats []score.Time
		tempo float64
		want  Figure
	}{{four, 100, AfterBeat}, {four, 60, BrokenUp}, {four, 180, Struck}, {compound, 60, Rocking}, {compound, 100, AfterBeat}, {nil, 60, Held}} {
		if got := Choose(c.beats, c.tempo); got != c.want {
			t.Errorf("%d beats at %.0f: %s, not %s", len(c.beats), c.tempo, got, c.want)
		}
	}
}
