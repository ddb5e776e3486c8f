package score_test

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
)

func performed(t testing.TB, s *score.Score) *score.Performed {
	t.Helper()
	p, err := s.Performed()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// oneMeasure is a score of one measure in 4/4 with these notes.
func oneMeasure(notes ...score.Note) *score.Score {
	for i := range notes {
		notes[i].Staff, notes[i].Voice = 1, max(notes[i].Voice, 1)
	}
	m := &score.Measure{Number: "1", Length: score.Whole, Notes: notes,
		Keys:  []score.KeyChange{{Key: score.KeySignature{Fifths: 1}}},
		Times: []score.TimeChange{{Time: commonTime()}}}
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
}

// at is a note with marks: name or name/type.
func at(num, den, length int64, midi int, marks ...string) score.Note {
	n := score.Note{Onset: score.Frac(num, den), Length: score.Quarters(length), Pitch: score.Spell(midi)}
	for _, m := range marks {
		name, kind, _ := strings.Cut(m, "/")
		n.Marks = append(n.Marks, score.Mark{Name: name, Type: kind, Number: 1})
	}
	return n
}

func ornament(midi int, chord bool) score.Note {
	return score.Note{Pitch: score.Spell(midi), Grace: true, GraceChord: chord}
}

// strokes is "onset pitch+length" of all strikes.
func strokes(p *score.Performed) string {
	var all []string
	for _, s := range p.Strikes {
		all = append(all, fmt.Sprintf("%v %v+%v", s.Onset, s.Pitch, s.Length))
	}
	return strings.Join(all, ", ")
}

// TestPerformedOrnaments holds the conventions of Performed; they are the
// project's own.
func TestPerformedOrnaments(t *testing.T) {
	tests := []struct {
		name string
		s    *score.Score
		want string
	}{
		{"plain", oneMeasure(at(0, 1, 2, 60), at(2, 1, 2, 62)), "0 C4+2, 2 D4+2"},
		{"a chord goes up", oneMeasure(at(0, 1, 1, 67), at(0, 1, 1, 60)), "0 C4+1, 0 G4+1"},
		{"grace notes come before the beat, and the music later for those before all",
			oneMeasure(ornament(59, false), ornament(60, false), at(0, 1, 4, 62)), "0 B3+1/8, 1/8 C4+1/8, 1/4 D4+4"},
		{"grace notes of a chord come together",
			oneMeasure(ornament(59, false), ornament(62, true), at(0, 1, 4, 64)), "0 B3+1/8, 0 D4+1/8, 1/8 E4+4"},
		{"a trill goes to the next step of the key", oneMeasure(trill(64)),
			"0 E4+1/8, 1/8 F#4+1/8, 1/4 E4+1/8, 3/8 F#4+1/8"},
		{"a mordent goes down", oneMeasure(at(0, 1, 1, 67, "mordent")), "0 G4+1/8, 1/8 F#4+1/8, 1/4 G4+3/4"},
		{"an inverted one goes up", oneMeasure(at(0, 1, 1, 67, "inverted-mordent")), "0 G4+1/8, 1/8 A4+1/8, 1/4 G4+3/4"},
		{"a turn", oneMeasure(at(0, 1, 1, 67, "turn")), "0 A4+1/8, 1/8 G4+1/8, 1/4 F#4+1/8, 3/8 G4+5/8"},
		{"an arpeggio goes up in 64th notes", oneMeasure(at(0, 1, 1, 67, "arpeggiate"), at(0, 1, 1, 60, "arpeggiate")),
			"0 C4+1, 1/16 G4+15/16"},
		{"a tremolo", oneMeasure(short(at(0, 1, 1, 60, "tremolo/single"), 1, 4)), "0 C4+1/8, 1/8 C4+1/8"},
		{"a tremolo of two notes", oneMeasure(
			short(at(0, 1, 1, 60, "tremolo/start"), 1, 4), short(at(1, 4, 1, 64, "tremolo/stop"), 1, 4)),
			"0 C4+1/4, 1/8 E4+1/4, 1/4 C4+1/4, 3/8 E4+1/8"},
		{"other signs", oneMeasure(at(0, 1, 1, 60, "staccato", "delayed-turn")), "0 C4+1"},
		{"cue and hidden notes", oneMeasure(score.Note{Cue: true, Length: score.Quarter}, score.Note{Hidden: true, Length: score.Quarter}), ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, strokes(performed(t, tt.s))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func trill(midi int) score.Note { return short(at(0, 1, 1, midi, "trill-mark"), 1, 2) }

func short(n score.Note, num, den int64) score.Note {
	n.Length = score.Frac(num, den)
	return n
}

// TestPerformedOrder: repeats are followed, and every strike knows the note
// that is written and its place in the order.
func TestPerformedOrder(t *testing.T) {
	s := sketch(t, "|: 1 2 :| 3")
	p := performed(t, s)
	if got, want := strokes(p), "0 C4+4, 4 C#4+4, 8 C4+4, 12 C#4+4, 16 D4+4"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	for i, strike := range p.Strikes {
		m := s.Parts[0].Measures[p.Order[i].Measure]
		if strike.Measure != i || strike.Note != &m.Notes[0] || p.Starts[i] != strike.Onset {
			t.Errorf("strike %d is in measure %d", i, strike.Measure)
		}
	}
	if got := p.Starts[5]; got != score.Quarters(20) {
		t.Errorf("ends at %v", got)
	}
}

// TestPerformedTimeOnly: a note for one time through is struck then only.
func TestPerformedTimeOnly(t *testing.T) {
	s := sketch(t, "|: 1 :|")
	m := s.Parts[0].Measures[0]
	second := m.Notes[0]
	m.Notes[0].TimeOnly, second.TimeOnly, second.Pitch = "1", "2", score.Spell(72)
	m.Notes = append(m.Notes, second)
	p := performed(t, s)
	if got, want := strokes(p), "0 C4+4, 4 C5+4"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if p.Strikes[1].Note != &m.Notes[1] {
		t.Error("the second strike has another note")
	}
}

func TestPerformedTempi(t *testing.T) {
	mark := func(quarter int64, perMinute float64) score.Direction {
		return score.Direction{Onset: score.Quarters(quarter), Sound: score.Sound{Tempo: perMinute}}
	}
	tests := []struct {
		name  string
		sheet string
		in    map[string][]score.Direction
		want  string // onset@microseconds
		end   float64
	}{
		{"nothing said: the clock's 90", "1", nil, "0@666667", 4 * .666667},
		{"one", "1 2", map[string][]score.Direction{"1": {mark(0, 120)}}, "0@500000", 4},
		{"a change inside", "1 2", map[string][]score.Direction{"1": {mark(0, 120)}, "2": {mark(2, 60)}}, "0@500000 6@1000000", 5},
		{"again at the repeat", "|: 1 2 :|", map[string][]score.Direction{"1": {mark(0, 120)}, "2": {mark(0, 60)}},
			"0@500000 4@1000000 8@500000 12@1000000", 12},
		{"a jump lands in the tempo that is written there", "1 |: 2 3 :|", map[string][]score.Direction{
			"1": {mark(0, 120)}, "3": {mark(0, 60)}}, "0@500000 8@1000000 12@500000 16@1000000", 2 + 2 + 4 + 2 + 4},
		{"the slowest that MIDI has", "1", map[string][]score.Direction{"1": {mark(0, 1)}}, "0@16777215", 4 * 16.777215},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := sketch(t, tt.sheet)
			for number, directions := range tt.in {
				measure(t, s, number).Directions = directions
			}
			p := performed(t, s)
			checkTempi(t, p, tt.want, tt.end)
		})
	}
}

func checkTempi(t *testing.T, p *score.Performed, want string, end float64) {
	t.Helper()
	var got []string
	for _, tempo := range p.Tempi {
		got = append(got, fmt.Sprintf("%v@%d", tempo.Onset, tempo.Micros))
	}
	if diff := cmp.Diff(want, strings.Join(got, " ")); diff != "" {
		t.Error(diff)
	}
	if got := p.Seconds(p.Starts[len(p.Starts)-1]); math.Abs(got-end) > 1e-6 {
		t.Errorf("ends after %v s, want %v", got, end)
	}
}

// TestPerformedFermatas: a fermata doubles the time of its note (the
// project's own convention).
func TestPerformedFermatas(t *testing.T) {
	low := at(2, 1, 2, 48, "fermata")
	low.Voice = 2
	under := at(0, 1, 2, 47)
	under.Voice = 2
	for _, tt := range []struct {
		name string
		s    *score.Score
		want string
		end  float64
	}{
		{"of a note", oneMeasure(at(0, 1, 3, 60), at(3, 1, 1, 60, "fermata")), "0@500000 3@1000000 4@500000", 2.5},
		{"of two voices: the later", oneMeasure(at(0, 1, 4, 60, "fermata"), under, low), "0@500000 2@1000000 4@500000", 3},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.s.Parts[0].Measures[0].Directions = []score.Direction{{Sound: score.Sound{Tempo: 120}}}
			checkTempi(t, performed(t, tt.s), tt.want, tt.end)
		})
	}
}

// TestPerformedLikeTheClock: without repeats, grace notes and fermatas a score
// lasts as long as by its clock.
func TestPerformedLikeTheClock(t *testing.T) {
	s := sketch(t, "1 2 3 4")
	measure(t, s, "2").Directions = []score.Direction{{Onset: score.Quarters(1), Sound: score.Sound{Tempo: 77}}}
	p := performed(t, s)
	for q := range int64(17) {
		if got, want := p.Seconds(score.Quarters(q)), s.Clock().Seconds(score.Quarters(q)); math.Abs(got-want) > 1e-5 {
			t.Errorf("quarter %d at %v, by the clock at %v", q, got, want)
		}
	}
}

// TestPerformedFiles: in every score of the round trip, strikes are in order,
// inside the piece and of a note that plays.
func TestPerformedFiles(t *testing.T) {
	files, err := filepath.Glob("../testdata/*/*.musicxml")
	if err != nil || len(files) < 100 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	strikes := 0
	for _, file := range files {
		p, err := scoretest.Score(t, file).Performed()
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		for i, s := range p.Strikes {
			strikes++
			if s.Note == nil || !s.Note.Plays() || s.Length.Sign() <= 0 || s.Onset.Sign() < 0 {
				t.Errorf("%s: strike %+v", file, s)
			}
			if i > 0 && s.Onset.Less(p.Strikes[i-1].Onset) {
				t.Errorf("%s: strike %d is before the last", file, i)
			}
		}
	}
	t.Logf("%d strikes of %d files", strikes, len(files))
}

func ExampleScore_Performed() {
	m := &score.Measure{Number: "1", Length: score.Quarters(2),
		Notes: []score.Note{
			{Staff: 1, Voice: 1, Length: score.Quarter, Pitch: score.Spell(60)},
			{Staff: 1, Voice: 1, Onset: score.Quarter, Length: score.Quarter, Pitch: score.Spell(67)},
		},
		Directions: []score.Direction{{Sound: score.Sound{Tempo: 60}}},
		Barlines:   []score.Barline{{Onset: score.Quarters(2), Location: "right", Repeat: "backward"}},
	}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
	p, err := s.Performed()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, strike := range p.Strikes {
		fmt.Printf("%v at %v s; ", strike.Pitch, p.Seconds(strike.Onset))
	}
	// Output: C4 at 0 s; G4 at 1 s; C4 at 2 s; G4 at 3 s;
}
