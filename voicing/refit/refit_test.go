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
				moved := movedIn(s, report)
				for k, p := range fitted.Parts {
					for i, m := range p.Measures {
						if is := m != s.Parts[k].Measures[i]; is != moved[place{p.ID, m.Number}] {
							t.Errorf("%s %s at %s bells: measure %s is new: %v", file, v, name, m.Number, is)
						}
					}
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
				n := 0
				for _, f := range found.Findings {
					if f.Impossible() {
						n++
					}
				}
				if n != len(report.Unplayable) {
					t.Errorf("%s %s at %s bells: %d strokes cannot be played, %d are told", file, v, name, n, len(report.Unplayable))
				}
				s, want = fitted, there
			}
		}
	}
}

type place struct{ part, measure string }

// movedIn are the measures in which a report lists a note, or one that is tied
// from there.
func movedIn(s *score.Score, r *Report) map[place]bool {
	listed := map[string]bool{}
	for _, c := range r.Moved {
		listed[fmt.Sprint(c.Part, c.Measure, c.Beat, c.Note)] = true
	}
	starts, beats := s.Starts(), s.Beats()
	moved := map[place]bool{}
	for _, tone := range s.Tones() {
		p, at := s.Parts[tone.Part], tone.Pieces[0].Measure
		if listed[fmt.Sprint(p.ID, p.Measures[at].Number, score.BeatName(tone.Onset.Sub(starts[at]), beats[at]), tone.First().Pitch)] {
			for _, piece := range tone.Pieces {
				moved[place{p.ID, p.Measures[piece.Measure].Number}] = true
			}
		}
	}
	return moved
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
	for _, c := range []struct {
		name string
		keys []int
		want string
	}{
		{"as it is", []int{60, 64, 67}, ""},
		{"a phrase too high", []int{84, 86, 88}, "C6>C4 D6>D4 E6>E4"},
		{"wider than the tower", []int{48, 88}, "E6>E4!"},
		{"in as few parts as can be", []int{48, 86, 88, 86}, "D6>D4! E6>E4! D6>D4!"},
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

// line is a score of quarter notes for the hands.
func line(keys ...int) *score.Score {
	m := &score.Measure{Number: "1", Length: score.Quarters(int64(len(keys)))}
	for i, k := range keys {
		m.Notes = append(m.Notes, quarter(i, k))
	}
	return manual(m)
}

func quarter(onset, key int) score.Note {
	return score.Note{Staff: 1, Voice: 1, Onset: score.Quarters(int64(onset)), Length: score.Quarter, Pitch: score.Spell(key)}
}

func manual(measures ...*score.Measure) *score.Score {
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: measures}}}
}

// TestMerged: two notes of a chord that come to strike one key are one, the
// longer, with its tie, and that is told. Grace notes before a note are none, and
// what strikes one key already is left to the source.
func TestMerged(t *testing.T) {
	tied, high, again := quarter(0, 74), quarter(0, 86), quarter(0, 74) // D5 and D6, of which 23 bells have D5
	tied.TieStart, again.TieStop = true, true
	high.Length = score.Quarters(1)
	tied.Length = score.Quarters(4)
	s := manual(
		&score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{tied, high}},
		&score.Measure{Number: "2", Length: score.Quarters(4), Notes: []score.Note{again}},
	)
	h := newRefit(s, tower(t, "23"))
	// Hands that could do no better: D6 an octave down.
	for i := range h.tones {
		h.own(&unit{tones: []int{i}, octaves: map[int]int{74: 0, 86: -1}[h.pitch(i).MIDI()]})
	}
	h.merge()
	out := h.score()
	if n := len(out.Parts[0].Measures[0].Notes); n != 1 || !out.Parts[0].Measures[0].Notes[0].TieStart {
		t.Errorf("%d notes: %+v", n, out.Parts[0].Measures[0].Notes)
	}
	if out.Parts[0].Measures[1] != s.Parts[0].Measures[1] {
		t.Error("the measure that it is tied to is new")
	}
	if c := h.changes(); len(c) != 1 || !c[0].Merged || c[0].String() != "part P1, measure 1, beat 1: D6 becomes one with another D5" {
		t.Errorf("%v", c)
	}

	grace := quarter(0, 86)
	grace.Grace, grace.Length = true, score.Time{}
	m := &score.Measure{Number: "1", Length: score.Quarters(1), Notes: []score.Note{grace, grace, quarter(0, 86), quarter(0, 86)}}
	fitted, report := fit(t, manual(m), tower(t, "23"))
	if n := len(fitted.Parts[0].Measures[0].Notes); n != 4 || len(report.Moved) != 4 {
		t.Errorf("%d notes of 4, %v", n, report.Moved)
	}
}

// TestBreathe: a chord of a long note and a shorter one is no breath; a long note
// before a shorter one is.
func TestBreathe(t *testing.T) {
	half := quarter(0, 60)
	half.Length = score.Quarters(2)
	s := manual(&score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{half, quarter(0, 64), quarter(2, 62), quarter(3, 60)}})
	r := newRefit(s, tower(t, "23"))
	phrases := r.phrasesOn(check.Keyboards(s)[0])
	if got := fmt.Sprint(phrases); got != "[[0 1] [2 3]]" {
		t.Errorf("%s", got)
	}
	// A grace note goes with what follows and ends nothing; what follows may be a
	// chord whose lower note is shorter.
	grace, low, again := quarter(2, 62), quarter(2, 60), half
	grace.Grace, grace.Length = true, score.Time{}
	again.Onset = score.Quarters(2)
	s = manual(&score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{half, grace, low, again}})
	r = newRefit(s, tower(t, "23"))
	if got := fmt.Sprint(r.phrasesOn(check.Keyboards(s)[0])); got != "[[0 1 2 3]]" {
		t.Errorf("%s", got)
	}
}

// TestGoesOutOfTheWay: what the melody would come to lie over moves too.
func TestGoesOutOfTheWay(t *testing.T) {
	m := &score.Measure{Number: "1", Length: score.Quarters(4)}
	for i, key := range []int{36, 38, 40, 41} {
		low, high := quarter(i, key), quarter(i, 50+i%2)
		low.Melody, high.Voice = true, 2
		m.Notes = append(m.Notes, low, high)
	}
	_, report := fit(t, manual(m), tower(t, "23"))
	if len(report.Moved) != 8 || len(report.Crossed) > 0 {
		t.Errorf("%v\ncrossed: %v", report.Moved, report.Crossed)
	}
}

// TestWorseIsTold: what can only be the wrong way round is, with its place.
func TestWorseIsTold(t *testing.T) {
	m := &score.Measure{Number: "7", Length: score.Quarters(2)}
	for i, key := range []int{48, 50, 52, 60, 72, 74, 76} { // seven notes at once, of three octaves
		n := quarter(1, key)
		n.Voice = i + 1
		m.Notes = append(m.Notes, n)
	}
	m.Notes = append(m.Notes, quarter(0, 55))
	s := manual(m)
	_, report := fit(t, s, tower(t, "23"))
	var b strings.Builder
	if err := report.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	if len(report.Crossed) != 1 || report.Crossed[0].Beat != "2" || report.Crossed[0].Measure != "7" ||
		!strings.Contains(b.String(), "at 1 moment a note is no longer over or under another one as it was; the first: part P1, measure 7, beat 2.") {
		t.Errorf("%v:\n%s", report.Crossed, b.String())
	}
}

// TestMelodyIsKept: of two notes that become one that of the melody stays, however
// short.
func TestMelodyIsKept(t *testing.T) {
	tune, long := quarter(0, 86), quarter(0, 74)
	tune.Melody, long.Length = true, score.Quarters(4)
	long.Marks, long.Lyrics = []score.Mark{{Name: "slur", Type: "start", Number: 1}}, []score.Lyric{{Text: "la"}}
	r := newRefit(manual(&score.Measure{Number: "1", Length: score.Quarters(4), Notes: []score.Note{long, tune}}), tower(t, "23"))
	for i := range r.tones {
		r.own(&unit{tones: []int{i}, octaves: map[int]int{74: 0, 86: -1}[r.pitch(i).MIDI()]})
	}
	r.merge()
	if notes := r.score().Parts[0].Measures[0].Notes; len(notes) != 1 || !notes[0].Melody || len(notes[0].Marks) != 1 || len(notes[0].Lyrics) != 1 {
		t.Errorf("%+v", notes)
	}
}

// TestRestsForWhatIsGone: a rest is where nothing is left of a chord.
func TestRestsForWhatIsGone(t *testing.T) {
	m := &score.Measure{Number: "1", Length: score.Quarters(2), Notes: []score.Note{quarter(0, 61), quarter(0, 60), quarter(1, 61)}}
	lacking, err := instrument.Read(strings.NewReader("from: 23\nkeys: C3 D3 E3-C4 D4-C5\npedals: C3 D3 E3-C4 D4-G4\n"), "no C sharp")
	if err != nil {
		t.Fatal(err)
	}
	fitted, report := fit(t, manual(m), lacking)
	notes := fitted.Parts[0].Measures[0].Notes
	if len(notes) != 2 || notes[0].Pitch.MIDI() != 60 || notes[1].Kind != score.Rest || notes[1].Length != score.Quarter {
		t.Errorf("%+v", notes)
	}
	var b strings.Builder
	if err := report.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "part P1, measure 1, beat 2: C#4 has no key in any octave and is left out\n") || !strings.Contains(b.String(), "2 left out") {
		t.Error(b.String())
	}
}

// TestText: the accompaniment is told by measures, the melody note by note where
// it could not stay together.
func TestText(t *testing.T) {
	report := &Report{}
	at := func(measure string) score.Place { return score.Place{Part: "P1", Measure: measure, Beat: "1"} }
	for i, measure := range []string{"1", "1", "2", "1"} { // the last of a second movement
		report.Moved = append(report.Moved, Change{Place: at(measure), Note: "C6", To: "C5", Octaves: -1, index: []int{0, 0, 1, 3}[i]})
	}
	report.Moved = append(report.Moved, Change{Place: at("3"), Note: "C2", To: "C3", Octaves: 1, Melody: true},
		Change{Place: at("3"), Note: "D2", To: "D4", Octaves: 2, Melody: true, Alone: true})
	var b strings.Builder
	if err := report.WriteText(&b); err != nil {
		t.Fatal(err)
	}
	want := "part P1, measure 3, beat 1: D2 becomes D4 without the rest of its phrase\n" +
		"measures 1–2, 1: accompaniment 1 octave down (4 notes)\nmeasure 3: melody 1 octave up (1 note)\n" +
		"6 notes moved, 1 of them without the rest of the phrase, 0 became one with another note, 0 left out; 0 strokes cannot be played\n"
	if b.String() != want {
		t.Errorf("%s\nnot\n%s", b.String(), want)
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

// TestWrong: what is weighed of a pair: one way round and then the other, or one
// key, three times where one of the two is melody; a rough third that is new.
func TestWrong(t *testing.T) {
	pair := func(melody bool, keys [2]int, octaves [2]int) int {
		low, high := quarter(0, keys[0]), quarter(0, keys[1])
		low.Melody, high.Voice = melody, 2
		r := newRefit(manual(&score.Measure{Number: "1", Length: score.Quarter, Notes: []score.Note{low, high}}), tower(t, "61"))
		for i := range r.tones {
			r.own(&unit{tones: []int{i}, octaves: octaves[i], keys: r.tower.Manual})
		}
		h := &hands{refit: r, pairs: r.pairs()}
		return h.wrong(r.units[0])
	}
	for _, c := range []struct {
		name          string
		melody        bool
		keys, octaves [2]int
		want          int
	}{
		{"as it was", false, [2]int{60, 67}, [2]int{0, 0}, 0},
		{"both an octave up", false, [2]int{60, 67}, [2]int{1, 1}, 0},
		{"the lower one over the other", false, [2]int{60, 67}, [2]int{1, 0}, 1},
		{"the same of a melody", true, [2]int{60, 67}, [2]int{1, 0}, 3},
		{"on one key", false, [2]int{60, 72}, [2]int{1, 0}, 1},
		{"a third in the low bells", false, [2]int{48, 64}, [2]int{0, -1}, 1},
		{"which was there before", false, [2]int{48, 52}, [2]int{0, 0}, 0},
	} {
		if got := pair(c.melody, c.keys, c.octaves); got != c.want {
			t.Errorf("%s: %d, not %d", c.name, got, c.want)
		}
	}
}

// TestParts: an accompaniment moves by measures and then by notes, a melody as a
// whole.
func TestParts(t *testing.T) {
	for _, melody := range []bool{false, true} {
		var measures []*score.Measure
		for i := range 2 {
			a, b := quarter(0, 60), quarter(1, 62)
			a.Melody = melody
			measures = append(measures, &score.Measure{Number: fmt.Sprint(i + 1), Length: score.Quarters(2), Notes: []score.Note{a, b}})
		}
		r := newRefit(manual(measures...), tower(t, "23"))
		all := &unit{tones: []int{0, 1, 2, 3}}
		r.own(all)
		h := &hands{refit: r}
		parts := h.parts(all)
		if melody {
			if len(parts) > 0 {
				t.Errorf("a melody has %d parts", len(parts))
			}
			continue
		}
		if len(parts) != 2 || len(parts[0].tones) != 2 || len(h.parts(parts[0])) != 2 || h.units[0] == h.units[1] || h.units[2] != h.units[3] {
			t.Errorf("%d parts", len(parts))
		}
	}
}
