package voicing

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/melody"
)

// tuneAt is a score of one line, at a tempo or, where that is 0, at none that it gives:
// "67:1/4" is a key and its length in quarter notes, "-" instead of a key a rest.
func tuneAt(t *testing.T, tempo float64, text string) *score.Score {
	t.Helper()
	m := &score.Measure{Number: "1"}
	for _, word := range strings.Fields(text) {
		key, length, _ := strings.Cut(word, ":")
		var num, den, k int64 = 1, 1, 0
		fmt.Sscanf(length, "%d/%d", &num, &den)
		if key != "-" {
			fmt.Sscan(key, &k)
			m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: m.Length, Length: score.Frac(num, den), Pitch: score.Spell(int(k))})
		}
		m.Length = m.Length.Add(score.Frac(num, den))
	}
	if tempo > 0 {
		m.Directions = []score.Direction{{Sound: score.Sound{Tempo: tempo}}}
	}
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
}

// tones are the tones of a result in time order, "staff voice key".
func tones(s *score.Score) (all []string) {
	for _, tone := range s.Tones() {
		n := tone.First()
		all = append(all, fmt.Sprint(n.Staff, " ", n.Voice, " ", n.Pitch.MIDI()))
	}
	return all
}

// TestHelp: one stroke that the feet cannot reach does not take the phrase from them: a
// hand strikes it, on the manual and with an accent, and the report says so.
func TestHelp(t *testing.T) {
	quick := "60:22/100 72:22/100 62:22/100 74:22/100 76"
	result, report := voiced(t, tuneAt(t, 60, "67 69 71 72 71 69 67 65 "+quick+" 74 72 71 69 67 65 64"), Options{})
	byHand := 0
	for _, tone := range result.Tones() {
		if n := tone.First(); n.Staff == 1 {
			byHand++
			if n.Voice != 2 || !n.Melody || !slices.ContainsFunc(n.Marks, func(m score.Mark) bool { return m.Name == "accent" }) {
				t.Errorf("%s by hand: voice %d, melody %v, %v", n.Pitch, n.Voice, n.Melody, n.Marks)
			}
		}
	}
	told := 0
	for _, f := range report.Findings {
		if strings.HasPrefix(f.Text, "the left hand strikes ") {
			told++
		}
	}
	if byHand < 1 || byHand > mostHelped || told != byHand {
		t.Errorf("%d notes by hand, %d told of: %v", byHand, told, tones(result))
	}
}

// TestHelpIsRare: of a phrase in the pedals two strokes may be a hand's, no third.
func TestHelpIsRare(t *testing.T) {
	quick := "60:22/100 72:22/100 62:22/100 74:22/100 76 74 72 71 69 67 65 64 "
	for times, late := range map[int]bool{1: false, 4: true} {
		a := arrange(t, tuneAt(t, 60, "67 69 71 72 71 69 67 65 "+strings.Repeat(quick, times)), Options{}, "set aside")
		got := a.tryAt(a.with(tune), place{feet, -1}, 1)
		if (len(got.late) > 0) != late || len(got.helped) == 0 || len(got.helped) > 2 {
			t.Errorf("%d times too fast: %d strokes by hand, %d late", times, len(got.helped), len(got.late))
		}
	}
}

// TestWhyElsewhere: what keeps a phrase from the pedals, or from the octave of the one
// before it, is told, and what moves: the tune itself may go the other way.
func TestWhyElsewhere(t *testing.T) {
	wide := "60 62 64 67 72 76 81 79 76 72 67 64 60:4 "
	quick := strings.Repeat("60:1/8 72:1/8 64:1/8 76:1/8 ", 8)
	for _, c := range []struct {
		tune, tower string
		voicing     Voicing
		want        string
	}{
		{wide, "23", Inverted, "1 of 1 phrase goes to the left hand and not into the pedals: no octave of the pedals has all of it: an octave down there is no A4"},
		{wide + "-:8 " + wide, "23", Inverted, "2 of 2 phrases go to the left hand and not into the pedals: no octave of the pedals has all of it: an octave down there is no A4"},
		{"50 52 53 55 57 55 53 49", "47", Inverted, "1 of 1 phrase lies higher than written, on lighter bells: as written the pedals have no C#3"},
		{"50 52 53 55 57 55 53 49", "47", Inverted, "3 semitones up the melody would sit better: --transpose 3"},
		{"50 52 53 55 57 55 53 45", "47", Tenor, "1 of 1 phrase lies higher than written, on lighter bells: as written the keys have no A2"},
		{quick, "47", Inverted, "1 of 1 phrase goes to the left hand and not into the pedals: an octave down in the pedals 18 strokes of it would come too soon"},
		{"65 64 62 60 62 64 65:4 -:8 60 74 72 71 69 67 60:4", "23", Plain, "the melody is moved an octave down from here on and not moved before: as written the keys have no D5"},
	} {
		tower, err := instrument.Named(c.tower)
		if err != nil {
			t.Fatal(err)
		}
		_, report := voiced(t, tuneAt(t, 60, c.tune), Options{Tower: tower, Voicing: c.voicing})
		var told []string
		for _, f := range report.Findings {
			told = append(told, f.Text)
		}
		if !slices.Contains(told, c.want) {
			t.Errorf("%q is not among %q", c.want, told)
		}
	}
}

// TestPrice: what a key costs is told with it: here a lower bell is ready again later.
func TestPrice(t *testing.T) {
	tower, err := instrument.Named("23")
	if err != nil {
		t.Fatal(err)
	}
	between := (tower.RepeatTime(60) + tower.RepeatTime(58)) / 2 // in s
	slower := fmt.Sprintf(", though slower, at %.0f quarter notes a minute", math.Floor(90*between/tower.RepeatTime(58)))
	for _, c := range []struct {
		tempo, quarters float64 // the tempo, 0 if none is given, and between at the usual one
		want            string  // two semitones down
	}{
		{60, between, ", though 2 more strokes of it would come too soon"},
		{0, 1.5 * between, slower},
	} {
		s := tuneAt(t, c.tempo, fmt.Sprintf("70 50 60:%[1]d/10000 60:%[1]d/10000 60 50 70:4", int(10_000*c.quarters))) // no other octave has all
		tones := s.Tones()
		keys := newOtherKeys(s, tones, melody.Find(s, tones, melody.Options{}), Options{Tower: tower, Voicing: Plain}, newFigures(tower))
		for by, want := range map[int]string{-2: c.want, 2: ""} {
			if got := keys.price(by); got != want {
				t.Errorf("%d semitones: %q, want %q", by, got, want)
			}
		}
	}
}

// TestALittleLate: a bell that would be struck again a hair too soon is worth another
// octave to a short phrase: too soon is too soon.
func TestALittleLate(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	for short, octaves := range map[float64]int{1.01: -1, 0.99: 0} {
		quick := int(10_000 * tower.RepeatTime(55) * short)
		a := arrange(t, tuneAt(t, 60, fmt.Sprintf("69 71 67:%d/10000 67:%d/10000 69 67", quick, 20_000-quick)), Options{}, "place melody")
		for _, n := range a.with(tune) {
			if n.sits() != feet || n.octaves != octaves {
				t.Errorf("with %.2f of its time %s is in seat %d, %d octaves away, want %d", short, n.Pitch, n.sits(), n.octaves, octaves)
			}
		}
	}
}

// TestSlowDown: where a score has no tempo, the fastest that the melody can be played
// in is assumed, no slower than four fifths, and written; else the line stays in its
// place, and the stroke is told of.
func TestSlowDown(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	need := 1.5 * tower.RepeatTime(55) // in quarter notes, at the usual 90 a minute
	for _, c := range []struct {
		name  string
		tempo float64
		short float64 // the bell has so much of the time that it needs at 90 a minute
		slow  bool
	}{
		{"assumed, a little too fast", 0, 0.9, true},
		{"assumed, much too fast", 0, 0.7, false},
		{"given", 90, 0.9, false},
		{"fast enough", 0, 1.1, false},
	} {
		quick := int(1000 * need * c.short)
		steps := strings.Repeat("69 71 72 71 69 67 ", 8)
		text := steps + fmt.Sprintf("67:%d/1000 67:%d/1000 ", quick, 1000-quick) + steps
		result, report := voiced(t, tuneAt(t, c.tempo, text), Options{})
		tempo, from := result.Clock().Tempo()
		told := slices.ContainsFunc(report.Findings, func(f Finding) bool { return strings.HasPrefix(f.Text, "the score has no tempo") })
		if slow := tempo < 90; slow != c.slow || told != slow || slow && (tempo < slowestAssumed*90 || from != "the score") {
			t.Errorf("%s: %.0f quarter notes a minute (%s), told: %v", c.name, tempo, from, told)
		}
		inTime := func(tempo float64) bool { return tempo/60*tower.RepeatTime(55) <= float64(quick)/1000 }
		if c.slow && (!inTime(tempo) || inTime(tempo+1)) {
			t.Errorf("%s: %.0f quarter notes a minute are not the fastest in which the bell can be struck again", c.name, tempo)
		}
		late := slices.ContainsFunc(report.Findings, func(f Finding) bool { return f.Pass == "settle" })
		if want := c.short < 1 && !c.slow; late != want {
			t.Errorf("%s: told that it cannot be played: %v, want %v", c.name, late, want)
		}
		for _, tone := range result.Tones() {
			if n := tone.First(); n.Staff != 2 || n.Pitch.MIDI() > 60 {
				t.Errorf("%s: %s on staff %d", c.name, n.Pitch, n.Staff)
			}
		}
	}
}

// TestSlowDownByBeats: a tempo is written in whole beats. Where one can be played in but
// no whole beat that is not too slow, the tempo stays: the stroke comes too soon in any.
func TestSlowDownByBeats(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	quick := int(10_000 * 132 / 60 * tower.RepeatTime(55) * 0.8015) // 105.6 is slow enough, 53 halves are 106
	steps := strings.Repeat("69 71 72 71 69 67 ", 8)
	s := tuneAt(t, 0, steps+fmt.Sprintf("67:%d/10000 67:%d/10000 ", quick, 10_000-quick)+steps)
	s.Parts[0].Measures[0].Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{6}, Unit: 2}}}}}
	result, report := voiced(t, s, Options{})
	tempo, from := result.Clock().Tempo()
	late := slices.ContainsFunc(report.Findings, func(f Finding) bool { return f.Pass == "settle" })
	if tempo != 132 || from == "the score" || !late {
		t.Errorf("%.1f quarter notes a minute (%s), told that it cannot be played: %v", tempo, from, late)
	}
}

// TestNoHelpWhenSlower: a phrase that a hand has to help in the usual tempo is tried anew
// in the slower one that another phrase needs, where the feet have time.
func TestNoHelpWhenSlower(t *testing.T) {
	tower, err := instrument.Named("47")
	if err != nil {
		t.Fatal(err)
	}
	quick := int(1000 * 1.5 * tower.RepeatTime(55) * 0.9) // in time at 81 a minute, not at 90
	steps := strings.Repeat("69 71 72 71 69 67 ", 8)
	text := "67 69 71 72 71 69 67 65 60:33/100 72:33/100 62:33/100 74:33/100 76 74 72 71 69 67 65 64 - - - - " +
		steps + fmt.Sprintf("67:%d/1000 67:%d/1000 ", quick, 1000-quick) + steps
	byHand := func(tempo float64) (strokes int, at float64) {
		result, _ := voiced(t, tuneAt(t, tempo, text), Options{})
		for _, tone := range result.Tones() {
			if tone.First().Staff == 1 {
				strokes++
			}
		}
		at, _ = result.Clock().Tempo()
		return strokes, at
	}
	usual, _ := byHand(90)
	assumed, at := byHand(0)
	given, _ := byHand(at)
	if usual == 0 || at >= 90 || given != 0 || assumed != given {
		t.Errorf("%d strokes by hand at 90, %d where %.0f are assumed, %d where they are given", usual, assumed, at, given)
	}
}

// TestSteadyLine: between phrases the melody never goes two octaves away, and the same
// way at every difficulty, which only takes from the accompaniment.
func TestSteadyLine(t *testing.T) {
	where := func(a *arrangement) (keys []string) {
		for _, n := range a.with(tune) {
			keys = append(keys, fmt.Sprint(n.home, " ", n.placed(), " ", n.helped))
		}
		return keys
	}
	for _, name := range []string{"23", "35", "47"} {
		tower, err := instrument.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range Voicings() {
			t.Run(fmt.Sprint(name, " ", v), func(t *testing.T) {
				eachScore(t, func(t *testing.T, s *score.Score) {
					usual := arrange(t, s, Options{Tower: tower, Voicing: v}, "place melody")
					line := usual.with(tune)
					for i := 1; i < len(line); i++ {
						if far := line[i].octaves - line[i-1].octaves; abs(far) > 1 {
							t.Errorf("%d octaves from %s to %s at %s", far, line[i-1].placed(), line[i].placed(), line[i].Onset)
						}
					}
					for _, difficulty := range []int{1, 2, 5} {
						other := arrange(t, s, Options{Tower: tower, Voicing: v, Difficulty: difficulty}, "place melody")
						if diff := cmp.Diff(where(usual), where(other)); diff != "" {
							t.Errorf("difficulty %d moves the melody: %s", difficulty, diff)
						}
					}
				})
			})
		}
	}
}

// TestPlace: what is told before anything is voiced is what becomes of it.
func TestPlace(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		s := o.doc.Score()
		a := newArrangement(s, Options{Tower: o.tower, Voicing: o.voicing})
		got := map[string]int{}
		for i, n := range Place(s, a.tones, a.line, o.tower, o.voicing, 0).Notes {
			tone := a.tones[a.line.Tones[i]]
			if n.Pedals && !n.Helped {
				got[fmt.Sprint(tone.Onset, " ", tone.Pitch.Octaves(n.Octaves))]++
			}
		}
		want := map[string]int{}
		tones := o.result.Tones()
		for i := range tones {
			if n := tones[i].First(); n.Melody && n.Staff == 2 && !n.Grace {
				want[fmt.Sprint(tones[i].Onset, " ", n.Pitch)]++
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("in the pedals (-result +told):\n%s", diff)
		}
	})
}

// TestEcho: in a rest of the melody a lone stroke of the accompaniment is not on the
// bell of the notes beside the rest, which would be heard as a repeated note.
func TestEcho(t *testing.T) {
	m := &score.Measure{Number: "1", Length: score.Quarters(8)}
	for _, tune := range [][2]int64{{0, 67}, {1, 69}, {2, 67}, {4, 67}, {5, 65}, {6, 64}} {
		m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: score.Quarters(tune[0]), Length: score.Quarter, Pitch: score.Spell(int(tune[1]))})
	}
	for _, key := range []int{52, 55, 59} {
		m.Notes = append(m.Notes, score.Note{Staff: 2, Voice: 5, Onset: score.Quarters(3), Length: score.Quarter, Pitch: score.Spell(key)})
	}
	m.Directions = []score.Direction{{Sound: score.Sound{Tempo: 60}}}
	a := arrange(t, &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 2, Measures: []*score.Measure{m}}}}, Options{Voicing: Covered}, "accompany")
	struck := 0
	for _, n := range a.with(accompaniment) {
		if struck++; n.key() == 67 {
			t.Errorf("%s in the rest", n.placed())
		}
	}
	if struck == 0 {
		t.Error("nothing is struck in the rest")
	}
}

// TestNoMarksOverRests: a dynamic mark has a stroke of its staff before the next, a
// hairpin one from its beginning to just before its end.
func TestNoMarksOverRests(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		starts := o.result.Starts()
		type line struct {
			staff, voice int
			name         string
		}
		open := map[line]score.Time{}
		idle := func(staff int, from, to score.Time) bool {
			return !slices.ContainsFunc(o.result.Tones(), func(t score.Tone) bool {
				return t.First().Staff == staff && !t.Onset.Less(from) && t.Onset.Less(to)
			})
		}
		for i, m := range o.result.Parts[0].Measures {
			for _, d := range m.Directions {
				for _, sign := range d.Signs {
					at, of := starts[i].Add(d.Onset), line{d.Staff, d.Voice, sign.Name}
					from, begun := open[of]
					switch {
					case sign.Name != "dynamics" && sign.Name != "wedge":
						continue
					case begun && (sign.Name == "dynamics" || sign.Type == "stop") && idle(d.Staff, from, at):
						t.Errorf("%s on staff %d from %s to %s over rests", sign.Name, d.Staff, from, at)
					}
					open[of] = at
				}
			}
		}
	})
}
