package voicing

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
)

func lampSong(t *testing.T) *score.Score {
	t.Helper()
	return scoretest.Document(t, "../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml").Score()
}

func voiced(t *testing.T, s *score.Score, o Options) (*score.Score, *Report) {
	t.Helper()
	result, report, err := Voice(s, o)
	if err != nil {
		t.Fatal(err)
	}
	return result, report
}

// TestDifficulty: the easier, the fewer strokes.
func TestDifficulty(t *testing.T) {
	s := lampSong(t)
	before := 0
	for d := 1; d <= 5; d++ {
		_, report := voiced(t, s, Options{Difficulty: d})
		if n := report.Notes.Written; n < before {
			t.Errorf("difficulty %d: %d notes, %d one step easier", d, n, before)
		} else {
			before = n
		}
	}
	_, easy := voiced(t, s, Options{Difficulty: 1})
	if _, hard := voiced(t, s, Options{Difficulty: 5}); 5*easy.Notes.Written > 4*hard.Notes.Written {
		t.Errorf("%d notes at difficulty 1, %d at 5", easy.Notes.Written, hard.Notes.Written)
	}
	if _, _, err := Voice(s, Options{Difficulty: 6}); err == nil {
		t.Error("there is a difficulty 6")
	}
}

// TestTranspose: everything sounds so many semitones away, chord symbols too,
// and each key has its own signature, here of G major.
func TestTranspose(t *testing.T) {
	s := lampSong(t)
	for semitones, sharps := range map[int]int{-6: -5, -2: -1, -1: 6, 1: -4, 2: 3, 5: 0} {
		t.Run(fmt.Sprint(semitones), func(t *testing.T) {
			result, report := voiced(t, s, Options{Transpose: semitones})
			if got := result.Parts[0].Measures[0].Keys[0].Key.Fifths; got != sharps || report.Transpose != semitones {
				t.Errorf("%d sharps, not %d; the report says %d", got, sharps, report.Transpose)
			}
			here := map[score.Time]map[int]bool{}
			for _, tone := range result.Tones() {
				if here[tone.Onset] == nil {
					here[tone.Onset] = map[int]bool{}
				}
				here[tone.Onset][tone.First().Pitch.Class()] = true
			}
			a := newArrangement(s, report.options(t))
			for _, i := range a.line.Tones {
				n := &a.byTone[i]
				if class := (n.Pitch.Class() + semitones + 12) % 12; !here[n.Onset][class] {
					t.Errorf("at %s there is no %d", n.Onset, class)
				}
			}
			was, is := s.Parts[0].Measures[0].Chords[0], result.Parts[0].Measures[0].Chords[0]
			if (was.Root.Class()+semitones+12)%12 != is.Root.Class() {
				t.Errorf("chord %s became %s", was.Root, is.Root)
			}
		})
	}
}

// TestMelodyInEveryKey: a score has the same melody however it is transposed.
func TestMelodyInEveryKey(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		_, here := voiced(t, s, Options{})
		for _, semitones := range []int{-5, 3} {
			if _, there := voiced(t, s, Options{Transpose: semitones}); there.Melody.From != here.Melody.From || there.Melody.Notes != here.Melody.Notes {
				t.Errorf("by %d: melody %+v, not %+v", semitones, there.Melody, here.Melody)
			}
		}
	})
}

func (r *Report) options(t *testing.T) Options {
	t.Helper()
	o, err := Options{}.withDefaults()
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// TestTransposeKeys: a later key is spelled anew too.
func TestTransposeKeys(t *testing.T) {
	measure := func(number string, sharps int, pitches ...int) *score.Measure {
		m := &score.Measure{Number: number, Length: score.Quarters(4), Keys: []score.KeyChange{{Key: score.KeySignature{Fifths: sharps}}}}
		for i, p := range pitches {
			pitch := score.Spell(p)
			m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: score.Quarters(int64(i)), Length: score.Quarter, Pitch: pitch})
		}
		return m
	}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{
		measure("1", 0, 72, 74, 76, 77), measure("2", 5, 71, 73, 75, 76),
	}}}}
	result, _ := voiced(t, s, Options{Transpose: 1, Voicing: Plain})
	for i, want := range []int{-5, 0} {
		m := result.Parts[0].Measures[i]
		if m.Keys[0].Key.Fifths != want {
			t.Errorf("measure %d has %d sharps, not %d", i+1, m.Keys[0].Key.Fifths, want)
		}
		for _, n := range m.Notes {
			if n.Kind == score.Pitched && (n.Pitch.Alter > score.Sharp || n.Pitch.Alter < score.Flat) {
				t.Errorf("measure %d has %s", i+1, n.Pitch)
			}
		}
	}
}

// TestManner: what a section does otherwise.
func TestManner(t *testing.T) {
	s := lampSong(t)
	starts := s.Starts()
	section := func(m Manner) []Section {
		return []Section{{From: starts[36], To: starts[44], Voicing: Inverted, Manner: m}}
	}
	inside := func(result *score.Score, staff int) (most, strokes, lowest int) {
		at := map[score.Time]int{}
		lowest = 127
		for _, tone := range result.Tones() {
			if tone.Onset.Less(starts[36]) || !tone.Onset.Less(starts[44]) || tone.First().Staff != staff {
				continue
			}
			at[tone.Onset]++
			most, strokes = max(most, at[tone.Onset]), strokes+1
			lowest = min(lowest, tone.First().Pitch.MIDI())
		}
		return most, strokes, lowest
	}
	zero := 0
	for _, difficulty := range []int{3, 5} {
		result, _ := voiced(t, s, Options{Sections: section(Manner{Notes: 1}), Difficulty: difficulty})
		if most, _, _ := inside(result, 1); most != 1 {
			t.Errorf("difficulty %d: %d notes at once, the section wants 1", difficulty, most)
		}
		voiced(t, s, Options{Sections: section(Manner{Notes: 4}), Difficulty: difficulty})
	}
	result, _ := voiced(t, s, Options{Sections: section(Manner{Alone: true})})
	if _, strokes, _ := inside(result, 1); strokes != 0 {
		t.Errorf("%d strokes on the manual under a melody alone", strokes)
	}
	down, _ := voiced(t, s, Options{Sections: section(Manner{})})
	up, _ := voiced(t, s, Options{Sections: section(Manner{Octave: &zero})})
	_, _, low := inside(down, 2)
	if _, _, high := inside(up, 2); high < low+5 {
		t.Errorf("the melody goes down to %d, with octave 0 to %d", low, high)
	}
	// An octave that is asked for ends with its section.
	one := 1
	plain, _ := voiced(t, s, Options{Voicing: Plain})
	higher, _ := voiced(t, s, Options{Voicing: Plain, Sections: []Section{{From: starts[45], To: starts[56], Voicing: Plain, Manner: Manner{Octave: &one}}}})
	tune := func(s *score.Score, from, to int) (keys []int) {
		for _, tone := range s.Tones() {
			if tone.First().Melody && !tone.Onset.Less(starts[from]) && tone.Onset.Less(starts[to]) {
				keys = append(keys, tone.First().Pitch.MIDI())
			}
		}
		return keys
	}
	for _, part := range [][2]int{{0, 44}, {56, 60}} {
		if diff := cmp.Diff(tune(plain, part[0], part[1]), tune(higher, part[0], part[1])); diff != "" {
			t.Errorf("measures %d to %d: %s", part[0]+1, part[1], diff)
		}
	}
	chorus := []Section{{From: starts[45], To: starts[50], Voicing: Inverted, Manner: Manner{Softer: 3}}}
	soft, _ := voiced(t, s, Options{Sections: chorus})
	if a, b := marks(down.Parts[0].Measures[45]), marks(soft.Parts[0].Measures[45]); a == b {
		t.Errorf("the marks are %s with and without softer: 3", a)
	}
	for _, m := range []Manner{{Notes: 5}, {Notes: -1}, {Softer: 5}} {
		if _, _, err := Voice(s, Options{Sections: section(m)}); err == nil {
			t.Errorf("%+v is allowed", m)
		}
	}
}

func marks(m *score.Measure) (text string) {
	for _, d := range m.Directions {
		for _, sign := range d.Signs {
			if sign.Name == "dynamics" {
				text += fmt.Sprint(d.Staff, " ", sign.Text, " ")
			}
		}
	}
	return text
}

// TestWindows: with every four measures inverted in turn and the rest plain,
// nothing is struck under an inverted melody, and no note of any score is lost
// between sections: those in the report are those in the result.
func TestWindows(t *testing.T) {
	eachScore(t, func(t *testing.T, s *score.Score) {
		starts := s.Starts()
		for from := 0; from+4 < len(starts); from += 3 {
			result, report := voiced(t, s, Options{Voicing: Plain, Sections: []Section{{From: starts[from], To: starts[from+4], Voicing: Inverted}}})
			if got := len(result.Tones()); got != report.Notes.Written {
				t.Errorf("measures %d to %d inverted: %d notes, the report says %d", from+1, from+4, got, report.Notes.Written)
			}
			low := map[score.Time]int{}
			tones := result.Tones()
			for i := range tones {
				if tones[i].First().Grace {
					continue
				}
				if key, any := low[tones[i].Onset]; !any || tones[i].Pitch.MIDI() < key {
					low[tones[i].Onset] = tones[i].Pitch.MIDI()
				}
			}
			for i := range tones {
				n := tones[i].First()
				if report.Tune(&tones[i]) && n.Staff == 2 && !n.Grace && low[tones[i].Onset] < tones[i].Pitch.MIDI() {
					t.Errorf("measures %d to %d inverted: a note under the melody's %s at %s", from+1, from+4, n.Pitch, tones[i].Onset)
				}
			}
		}
	})
}

// TestRestated: where the melody changes its seat, the mark in force is said
// again, not an earlier one.
func TestRestated(t *testing.T) {
	s := lampSong(t)
	starts := s.Starts()
	result, _ := voiced(t, s, Options{Voicing: Plain, Sections: []Section{
		{From: starts[4], To: starts[8], Voicing: Inverted}, {From: starts[20], To: starts[24], Voicing: Inverted},
		{From: starts[45], To: starts[50], Voicing: Inverted},
	}})
	force := ""
	for _, m := range s.Parts[0].Measures[:46] {
		for _, d := range m.Directions {
			for _, sign := range d.Signs {
				if sign.Name == "dynamics" && d.Staff <= 1 && d.Onset.Sign() == 0 {
					force = sign.Text
				}
			}
		}
	}
	got := ""
	for _, d := range result.Parts[0].Measures[45].Directions {
		if d.Staff == 2 && len(d.Signs) > 0 && d.Signs[0].Name == "dynamics" {
			got = d.Signs[0].Text
		}
	}
	if got != force {
		t.Errorf("the melody is marked %q, the source is at %q", got, force)
	}
}

// TestOddScores: nothing that can be read makes it panic.
func TestOddScores(t *testing.T) {
	one := &score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{{Staff: 1, Voice: 1, Length: score.Quarters(4), Pitch: score.Spell(60)}}}
	for name, s := range map[string]*score.Score{
		"an empty part first":    {Parts: []*score.Part{{ID: "P1", Staves: 1}, {ID: "P2", Staves: 1, Measures: []*score.Measure{one}}}},
		"an empty measure":       {Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{{Number: "1", Length: score.Quarters(4)}, one}}}},
		"a measure of no length": {Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{{Number: "0"}, one, {Number: "2"}}}}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, v := range Voicings() {
				voiced(t, s, Options{Voicing: v})
			}
		})
	}
}

// TestLineOfOneMoment: a slur whose ends are struck together is none.
func TestLineOfOneMoment(t *testing.T) {
	s := lampSong(t)
	ours := map[score.Source]bool{}
	for k, m := range s.Parts[0].Measures {
		for i := range m.Notes {
			for j := i + 1; j < len(m.Notes); j++ {
				a, b := &m.Notes[i], &m.Notes[j]
				if a.Kind == score.Pitched && b.Kind == score.Pitched && a.Onset == b.Onset && a.Staff == b.Staff && len(a.Marks)+len(b.Marks) == 0 {
					source := score.Source(1_000_000_000 + 1000*k + i)
					a.Marks = []score.Mark{{Name: "slur", Type: "start", Number: 5, Source: source}}
					b.Marks = []score.Mark{{Name: "slur", Type: "stop", Number: 5, Source: source + 500}}
					ours[source], ours[source+500] = true, true
				}
			}
		}
	}
	result, _ := voiced(t, s, Options{Voicing: Covered})
	for _, m := range result.Parts[0].Measures {
		for _, n := range m.Notes {
			for _, mark := range n.Marks {
				if ours[mark.Source] {
					t.Errorf("measure %s: %s has a slur's %s", m.Number, n.Pitch, mark.Type)
				}
			}
		}
	}
	if len(ours) < 40 {
		t.Errorf("%d ends", len(ours))
	}
}
