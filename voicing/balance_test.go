package voicing

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
)

// measuresOf is a score of measures of one half note each for the melody, with what
// is struck under it, and the mark that begins each, if any.
func measuresOf(marks []string, melody int, under ...[]int) *score.Score {
	half := score.Quarters(2)
	p := &score.Part{ID: "P1", Staves: 2}
	for i, keys := range under {
		m := &score.Measure{Number: string(rune('1' + i)), Length: half}
		m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Length: half, Pitch: score.Spell(melody + i%2)})
		for _, key := range keys {
			m.Notes = append(m.Notes, score.Note{Staff: 2, Voice: 5, Length: half, Pitch: score.Spell(key)})
		}
		if i < len(marks) && marks[i] != "" {
			m.Directions = append(m.Directions, score.Direction{Signs: []score.Sign{{Name: "dynamics", Text: marks[i]}}, Staff: 1})
		}
		p.Measures = append(p.Measures, m)
	}
	return &score.Score{Parts: []*score.Part{p}}
}

// marksIn are the marks of a line of a result in time order.
func marksIn(s *score.Score, l line) (all []string) {
	for _, m := range s.Parts[0].Measures {
		for _, d := range m.Directions {
			for _, sign := range d.Signs {
				if sign.Name == "dynamics" && (line{d.Staff, d.Voice}) == l {
					all = append(all, sign.Text)
				}
			}
		}
	}
	return all
}

// unclear are the findings of a report about measures in which the melody does not
// stand clear.
func unclear(r *Report) []Finding {
	return slices.DeleteFunc(slices.Clone(r.Findings), func(f Finding) bool { return f.Pass != "balance" })
}

// TestMarksOfOneMeasure: one measure in ten that needs softer marks gets them.
func TestMarksOfOneMeasure(t *testing.T) {
	tower, err := instrument.Named("61")
	if err != nil {
		t.Fatal(err)
	}
	s := scoretest.Score(t, sharedScore(t, "Paradis_Die_Tanne__Sieh_Doris__wie_vom_Mond_best.mxl"))
	_, report := voiced(t, s, Options{Tower: tower, Voicing: Tenor})
	for _, f := range unclear(report) {
		t.Errorf("measure %s: %s", f.Measure, f.Text)
	}
}

// sharedScore is the path of a score beside the project; without it the test is
// skipped loudly.
func sharedScore(t *testing.T, name string) string {
	t.Helper()
	for _, path := range scoretest.Shared(t) {
		if filepath.Base(path) == name {
			return path
		}
	}
	t.Skipf("NOT TESTED: no score %s beside the project, or tests are short", name)
	return ""
}

// TestMarksInShape: a melody over heavy basses is raised by what it needs, and no
// further than players read; the softest mark stays the softest, what is louder
// stays so, and the rest is not marked louder than the source has it.
func TestMarksInShape(t *testing.T) {
	heavy := []int{48, 55, 60}
	for _, c := range [][]string{
		{"mf", "f"}, {"p", "mf", "pp"}, {"p", "p"}, {"f", "p", "f"}, {"fff", "p"}, {"p", "mp", "mf", "f", "p"}, {"ppp", "pp"},
	} {
		for _, v := range Voicings() {
			t.Run(fmt.Sprint(c, v), func(t *testing.T) {
				s := measuresOf(c, 84, slices.Repeat([][]int{heavy}, len(c))...)
				result, report := voiced(t, s, Options{Voicing: v})
				melody := lineOfMelody(result, report, 0)
				checkShape(t, c, marksIn(result, melody))
				for _, l := range lines[rightHand:] {
					for i, mark := range marksIn(result, l) {
						if l != melody && level(mark) > level(c[i]) {
							t.Errorf("%v is marked %v, the source %v", l, marksIn(result, l), c)
						}
					}
				}
			})
		}
	}
}

// checkShape holds the melody's marks to the source's.
func checkShape(t *testing.T, source, melody []string) {
	t.Helper()
	if len(source) != len(melody) {
		t.Fatalf("the melody is marked %v, the source %v", melody, source)
	}
	loudest := level(loudestMark)
	for _, mark := range source {
		loudest = max(loudest, level(mark))
	}
	softest := slices.MinFunc(source, func(m, n string) int { return level(m) - level(n) })
	for i, mark := range melody {
		if level(mark) < level(source[i]) || level(mark) > loudest {
			t.Errorf("the melody is marked %v, the source %v", melody, source)
		}
		for k, other := range melody {
			if level(source[i]) < level(source[k]) && (level(mark) > level(other) || level(mark) == level(other) && source[i] == softest) {
				t.Errorf("the melody is marked %v, the source %v", melody, source)
			}
		}
	}
}

// TestAsSoftlyAsItCanBe: what is said to be marked as softly as it can be is at the
// softest mark that players read.
func TestAsSoftlyAsItCanBe(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		for _, f := range unclear(o.report) {
			if !strings.Contains(f.Text, "as softly as it can be") {
				continue
			}
			with := linesWithMelody(o.result, o.report, f.Nth-1)
			for l, mark := range inForce(o.result, f.Nth-1) {
				if with[l] && level(mark) > level(softestMark) {
					t.Errorf("measure %s: %s: but %v is at %s", f.Measure, f.Text, l, mark)
				}
			}
		}
	})
}

// lineOfMelody is the line that the melody has where it is struck first in a
// measure or after it.
func lineOfMelody(s *score.Score, r *Report, measure int) line {
	for _, tone := range s.Tones() {
		if n := tone.First(); tone.Pieces[0].Measure >= measure && r.Tune(&tone) {
			return line{n.Staff, n.Voice}
		}
	}
	return line{}
}

// inForce are the marks of the lines in a measure: all of them are marked at once.
func inForce(s *score.Score, measure int) map[line]string {
	marks := map[line]string{}
	var at score.Time
	for i, m := range s.Parts[0].Measures[:measure+1] {
		for _, d := range m.Directions {
			if d.Signs == nil || d.Signs[0].Name != "dynamics" {
				continue
			}
			if onset := s.Starts()[i].Add(d.Onset); onset != at {
				at, marks = onset, map[line]string{}
			}
			marks[line{d.Staff, d.Voice}] = d.Signs[0].Text
		}
	}
	return marks
}

// linesWithMelody are the lines of which something is struck together with the
// melody in a measure, without its own.
func linesWithMelody(s *score.Score, r *Report, measure int) map[line]bool {
	sings, with := map[score.Time]line{}, map[line]bool{}
	for _, tone := range s.Tones() {
		if n := tone.First(); tone.Pieces[0].Measure == measure && r.Tune(&tone) {
			sings[tone.Onset] = line{n.Staff, n.Voice}
		}
	}
	for _, tone := range s.Tones() {
		n := tone.First()
		if melody, together := sings[tone.Onset]; together && melody != (line{n.Staff, n.Voice}) {
			with[line{n.Staff, n.Voice}] = true
		}
	}
	return with
}

// TestTheMelodysLine: while the melody takes a breath the accompaniment keeps out of its
// line; where it rests for longer and both hands accompany, its line is marked as they
// are, and anew where it comes back.
func TestTheMelodysLine(t *testing.T) {
	c, f, rest := []int{60, 64, 67}, []int{60, 65, 69}, 0
	piece := func(measures ...[]int) *score.Score {
		s := measuresOf([]string{"f"}, 0, make([][]int, len(measures))...)
		for i, m := range s.Parts[0].Measures {
			m.Notes, m.Length = nil, score.Quarters(4)
			for beat, key := range measures[i] {
				at := score.Note{Staff: 1, Voice: 1, Onset: score.Quarters(int64(beat)), Length: score.Quarter}
				if key != rest {
					at.Pitch, at.Lyrics = score.Spell(key), []score.Lyric{{Verse: "1", Text: "la"}}
					m.Notes = append(m.Notes, at)
				}
				for _, key := range [][]int{c, f}[i%2] {
					at.Staff, at.Voice, at.Pitch, at.Lyrics = 2, 5, score.Spell(key), nil
					m.Notes = append(m.Notes, at)
				}
			}
		}
		return s
	}
	sung, breath, none := []int{76, 79, 77, 76}, []int{77, 81, 79, rest}, []int{rest, rest, rest, rest}
	for _, test := range []struct {
		name  string
		score *score.Score
		marks int // of the melody's line
		other int // of the other hand's, which are restated beside another level only
		alone bool
	}{
		{"a breath", piece(sung, breath, sung, breath), 1, 1, false},
		{"two measures", piece(sung, breath, none, none, sung, breath), 3, 2, true},
		{"before the melody", piece(none, none, sung, breath), 2, 2, true},
	} {
		for _, v := range []Voicing{Plain, Tenor} {
			result, report := voiced(t, test.score, Options{Voicing: v})
			own := lineOfMelody(result, report, 0)
			alone, sings := false, map[score.Time]bool{}
			for _, tone := range result.Tones() {
				if report.Tune(&tone) {
					sings[tone.Onset] = true
				}
			}
			for _, tone := range result.Tones() {
				n := tone.First()
				alone = alone || !sings[tone.Onset] && line{n.Staff, n.Voice} == own
			}
			marks := marksIn(result, own)
			if alone != test.alone || len(marks) != test.marks {
				t.Errorf("%s, %s: alone in the melody's line: %v, which is marked %v", test.name, v, alone, marks)
			}
			if other := marksIn(result, line{1, 3 - own.voice}); len(other) != test.other {
				t.Errorf("%s, %s: the other hand is marked %v", test.name, v, other)
			}
			for i, mark := range marks {
				if rests := (i%2 == 0) == (test.marks == 2); rests != (mark != marks[len(marks)-1]) {
					t.Errorf("%s, %s: the melody's line is marked %v", test.name, v, marks)
				}
			}
		}
	}
}

// A mark over measures of rests stands at the stroke that it is for.
func TestAtStroke(t *testing.T) {
	a := &arrangement{asWritten: make([]bool, 3)}
	for m := range int64(4) {
		a.starts = append(a.starts, score.Quarters(4*m))
	}
	sign := levelSign{measure: 0, onset: score.Quarters(1), d: score.Direction{Onset: score.Quarters(1)}}
	for stroke, want := range map[int64][2]int64{1: {0, 1}, 3: {0, 1}, 4: {1, 0}, 10: {2, 2}} {
		got := a.atStroke(sign, score.Quarters(stroke))
		if int64(got.measure) != want[0] || got.d.Onset != score.Quarters(want[1]) {
			t.Errorf("for a stroke at %d: measure %d, %s; want measure %d, %d", stroke, got.measure, got.d.Onset, want[0], want[1])
		}
	}
}

// A note beyond all keys, as a transposition may make one, does not count before it
// has its place.
func TestPowersOfKeys(t *testing.T) {
	a := arrange(t, sung(score.Quarter, []int{67, 130, 48}, []int{69, 131, 50}), Options{Voicing: Tenor}, "place melody")
	if p := a.powersAt(a.notes[0].Onset, line{}); p.melody == 0 || p.under != 0 {
		t.Errorf("%+v: the melody alone has its place", p)
	}
}
