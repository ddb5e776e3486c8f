package refit

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/playing"
)

func tower(t *testing.T, name string) *instrument.Tower {
	t.Helper()
	tower, err := instrument.Named(name)
	if err != nil {
		t.Fatal(err)
	}
	return tower
}

func fit(t *testing.T, s *score.Score, to *instrument.Tower) (*score.Score, *Report) {
	t.Helper()
	fitted, report, err := Score(s, to)
	if err != nil {
		t.Fatal(err)
	}
	return fitted, report
}

// classes are the pitch classes struck at each moment.
func classes(s *score.Score) map[string]bool {
	all := map[string]bool{}
	for _, tone := range s.Tones() {
		if tone.First().Plays() {
			all[fmt.Sprint(tone.Onset, " ", tone.First().Pitch.Class())] = true
		}
	}
	return all
}

// TestThereAndBack: a score for 47 bells goes to 35 and 23 bells and back
// without losing a pitch class at any moment, so no note of its melody; every
// note has a key, every change and every stroke that no limb can play is listed,
// and a measure in which nothing moves is the very same.
func TestThereAndBack(t *testing.T) {
	for _, file := range append(scoretest.Shared(t), scoretest.Examples(t)...) {
		for _, v := range voicing.Voicings() {
			s, _, err := voicing.Voice(scoretest.Document(t, file).Score(), voicing.Options{Voicing: v})
			if err != nil {
				t.Fatal(err)
			}
			want := classes(s)
			for _, name := range []string{"35", "23", "47"} {
				to := tower(t, name)
				fitted, report := fit(t, s, to)
				moved := map[int]bool{}
				for i, m := range fitted.Parts[0].Measures {
					moved[i] = m != s.Parts[0].Measures[i]
				}
				if len(report.Moved) == 0 && moved[0] {
					t.Errorf("%s: nothing moved, and yet a measure is new", file)
				}
				there := classes(fitted)
				for place := range want {
					if !there[place] {
						t.Errorf("%s %s at %s bells: %s is lost", file, v, name, place)
					}
				}
				found, err := check.Score(fitted, check.Options{Tower: to})
				if err != nil {
					t.Fatal(err)
				}
				if n := found.Totals[check.Compass]; n > 0 {
					t.Errorf("%s %s at %s bells: %d notes have no key", file, v, name, n)
				}
				hard := 0
				for _, f := range found.Findings {
					if f.What == playing.Leap.String() {
						hard++
					}
				}
				if n := found.Totals[check.Unplayable] + found.Totals[check.TooFast] - hard; n != len(report.Unplayable) {
					t.Errorf("%s %s at %s bells: %d strokes cannot be played, %d are told", file, v, name, n, len(report.Unplayable))
				}
				s, want = fitted, there
			}
		}
	}
}

// TestUntouched: what the tower has stays byte for byte.
func TestUntouched(t *testing.T) {
	path := filepath.Join("..", "..", "examples", "nets-in-the-loft", "nets-in-the-loft-inverted.musicxml")
	doc := scoretest.Document(t, path)
	fitted, report := fit(t, doc.Score(), tower(t, "61"))
	if len(report.Moved) > 0 {
		t.Fatalf("%v", report.Moved)
	}
	var was, is bytes.Buffer
	if err := doc.Write(&was, doc.Score()); err != nil {
		t.Fatal(err)
	}
	if err := doc.Write(&is, fitted); err != nil {
		t.Fatal(err)
	}
	cut := func(b *bytes.Buffer) string { _, text, _ := strings.Cut(b.String(), "<part "); return text }
	if cut(&was) != cut(&is) {
		t.Error("the music is not what it was")
	}
}

// TestMoves: a phrase moves as one; where no octave has all of it, its notes
// move by themselves; what the tower lacks in every octave goes.
func TestMoves(t *testing.T) {
	line := func(keys ...int) *score.Score {
		m := &score.Measure{Number: "1"}
		for i, k := range keys {
			m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: score.Quarters(int64(i)), Length: score.Quarter, Pitch: score.Spell(k)})
		}
		m.Length = score.Quarters(int64(len(keys)))
		return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
	}
	for _, c := range []struct {
		name string
		keys []int
		want string
	}{
		{"as it is", []int{60, 64, 67}, ""},
		{"a phrase too high", []int{84, 86, 88}, "C6>C4 D6>D4 E6>E4"},
		{"wider than the tower", []int{48, 88}, "E6>E4!"},
		{"an absent low C sharp", []int{49, 50, 52}, "C#3>C#4 D3>D4 E3>E4"},
	} {
		_, report := fit(t, line(c.keys...), tower(t, "23"))
		var got []string
		for _, ch := range report.Moved {
			text := ch.Note + ">" + ch.To
			if ch.Alone {
				text += "!"
			}
			got = append(got, text)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %s, not %s", c.name, s, c.want)
		}
	}
}

// TestPlayable: a note goes past the nearest octave where its bell has just been
// struck there, and nowhere else; what cannot be mended is told.
func TestPlayable(t *testing.T) {
	after := func(keys ...int) *score.Score { // a 16th after each beat, over C4 on the beat
		m := &score.Measure{Number: "1", Length: score.Quarters(int64(len(keys)))}
		for i, k := range keys {
			beat := score.Quarters(int64(i))
			m.Notes = append(m.Notes,
				score.Note{Staff: 1, Voice: 1, Onset: beat, Length: score.Quarter, Pitch: score.Spell(60)},
				score.Note{Staff: 1, Voice: 2, Onset: beat.Add(score.Frac(1, 4)), Length: score.Frac(1, 4), Pitch: score.Spell(k)})
		}
		return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
	}
	for _, c := range []struct {
		name       string
		key        int
		want       string
		unplayable int
	}{
		{"the nearest is free", 88, "E4", 0},
		{"the nearest has just been struck", 84, "C5", 0},
		{"it has its key", 60, "", 2},
	} {
		_, report := fit(t, after(c.key, c.key), tower(t, "23"))
		got := ""
		if len(report.Moved) > 0 {
			got = report.Moved[0].To
		}
		if got != c.want || len(report.Unplayable) != c.unplayable {
			t.Errorf("%s: it goes to %q, not %q; %v", c.name, got, c.want, report.Unplayable)
		}
	}
}
