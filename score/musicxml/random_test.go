package musicxml

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"undersong/score"
)

// blank is a document that scores of our own making can be written with.
func blank(t testing.TB) *Document {
	t.Helper()
	const text = `<score-partwise><part id="P1"><measure number="1"><note><rest/><duration>1</duration></note></measure></part></score-partwise>`
	doc, err := Read(strings.NewReader(text), "blank", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// TestRandomScores: reading back what was written gives the same score.
func TestRandomScores(t *testing.T) {
	doc := blank(t)
	rapid.Check(t, func(t *rapid.T) {
		s := randomScore(t)
		var out bytes.Buffer
		if err := doc.Write(&out, s); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		again, err := Read(&out, "written", Limits{})
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(sounds(s), sounds(again.Score())); diff != "" {
			t.Fatalf("the notes differ (-made +read):\n%s\n%s", diff, text)
		}
		if diff := cmp.Diff(frames(s), frames(again.Score())); diff != "" {
			t.Fatalf("the measures differ (-made +read):\n%s", diff)
		}
	})
}

// frames is what a score has besides notes, in words.
func frames(s *score.Score) []string {
	var all []string
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			f := fmt.Sprint(p.ID, " ", p.Staves, " ", m.Number, " ", m.Implicit, " ", m.Length)
			for _, k := range m.Keys {
				f += fmt.Sprint(" key ", k.Staff, k.Key)
			}
			for _, x := range m.Times {
				f += fmt.Sprint(" time ", x.Staff, x.Time)
			}
			for _, c := range m.Clefs {
				f += fmt.Sprint(" clef ", c.Staff, c.Clef)
			}
			for _, x := range m.Transposes {
				f += fmt.Sprint(" transpose ", x.Staff, x.Transposition)
			}
			for _, d := range m.Directions {
				f += fmt.Sprint(" direction ", d.Onset, max(d.Staff, 1), d.Placement, d.Sound, len(d.Signs))
				for _, x := range d.Signs {
					f += fmt.Sprint(" ", x.Name, x.Text, x.Type, x.Number)
				}
			}
			all = append(all, f)
		}
	}
	return all
}

func randomScore(t *rapid.T) *score.Score {
	meters := [][2]int{{4, 4}, {3, 4}, {2, 2}, {6, 8}, {5, 8}, {7, 8}, {12, 16}}
	s := &score.Score{}
	measures := rapid.IntRange(1, 4).Draw(t, "measures")
	var times []score.TimeSignature
	for range measures {
		m := rapid.SampledFrom(meters).Draw(t, "meter")
		times = append(times, score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{m[0]}, Unit: m[1]}}})
	}
	for i := range rapid.IntRange(1, 3).Draw(t, "parts") {
		p := &score.Part{ID: fmt.Sprintf("P%d", i+1), Name: "Bells", Staves: rapid.IntRange(1, 2).Draw(t, "staves")}
		for j, time := range times {
			p.Measures = append(p.Measures, randomMeasure(t, j, p.Staves, time))
		}
		s.Parts = append(s.Parts, p)
	}
	return s
}

func randomMeasure(t *rapid.T, index, staves int, time score.TimeSignature) *score.Measure {
	length, _ := time.Length()
	m := &score.Measure{
		Number: rapid.SampledFrom([]string{"1", "12a", "X1"}).Draw(t, "number"),
		Length: length,
		Times:  []score.TimeChange{{Time: time}},
	}
	if rapid.Bool().Draw(t, "key") {
		m.Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: rapid.IntRange(-7, 7).Draw(t, "fifths")}}}
	}
	if index == 0 {
		for staff := 1; staff <= staves; staff++ {
			clef := rapid.SampledFrom([]score.Clef{score.Treble, score.Bass, {Sign: "C", Line: 3}, {Sign: "G", Line: 2, OctaveChange: -1}})
			m.Clefs = append(m.Clefs, score.ClefChange{Staff: staff, Clef: clef.Draw(t, "clef")})
		}
		if rapid.Bool().Draw(t, "transposing") {
			m.Transposes = []score.TransposeChange{{Transposition: score.Transposition{Letters: 7, Semitones: 12}}}
		}
	}
	if rapid.Bool().Draw(t, "loud") {
		m.Directions = []score.Direction{{
			Onset: length.Mul(1, 2), Staff: staves,
			Signs: []score.Sign{{Name: "dynamics", Text: "mf", Number: 1}},
		}}
	}
	for voice := range rapid.IntRange(1, 3).Draw(t, "voices") {
		randomVoice(t, m, voice+1, min(voice+1, staves), length)
	}
	return m
}

// randomVoice fills a voice with chords, rests and grace notes on a random
// grid.
func randomVoice(t *rapid.T, m *score.Measure, voice, staff int, length score.Time) {
	grid := rapid.SampledFrom([]int64{1, 2, 4, 8, 3, 6, 12, 5, 7}).Draw(t, "grid")
	units := length.Mul(grid, 1).Num() / length.Mul(grid, 1).Den()
	for at := int64(0); at < units; {
		n := rapid.Int64Range(1, min(6, units-at)).Draw(t, "length")
		note := score.Note{Staff: staff, Voice: voice, Onset: score.Frac(at, grid)}
		at += n
		kind := rapid.IntRange(0, 5).Draw(t, "kind")
		if kind == 0 {
			continue // a rest
		}
		note.Pitch = randomPitch(t)
		if kind == 1 {
			grace := note
			grace.Grace = true
			m.Notes = append(m.Notes, grace)
		}
		note.Length = score.Frac(n, grid)
		m.Notes = append(m.Notes, note)
		if kind == 2 {
			note.Pitch = note.Pitch.Octaves(1)
			m.Notes = append(m.Notes, note)
		}
	}
}

func randomPitch(t *rapid.T) score.Pitch {
	return score.Pitch{
		Step:   score.Step(rapid.IntRange(0, 6).Draw(t, "step")),
		Alter:  score.Alter(50 * rapid.IntRange(-4, 4).Draw(t, "alter")),
		Octave: int8(rapid.IntRange(1, 7).Draw(t, "octave")),
	}
}
