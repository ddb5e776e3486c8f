package check

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/musicxml"
	"undersong/score/scoretest"
	"undersong/voicing/melody"
	"undersong/voicing/ringing"
)

// sheet is a carillon score of two staves in 4/4 at a tempo. Each staff is a
// row of moments of one length, in parts of a quarter note: "C4+E4" for a
// chord, "." for a rest, "~" before a chord for an arpeggio mark, "'" before a
// note for a grace note to the next.
func sheet(t testing.TB, tempo float64, parts int64, manual, pedals string) *score.Score {
	t.Helper()
	p := &score.Part{ID: "P1", Name: "Carillon", Staves: 2}
	s := &score.Score{Title: "Sheet", Parts: []*score.Part{p}}
	for staff, text := range []string{manual, pedals} {
		at := score.Time{}
		for moment := range strings.FieldsSeq(text) {
			i := int(at.Floor(score.Whole).Quarters()) / 4
			for i >= len(p.Measures) {
				p.Measures = append(p.Measures, &score.Measure{Number: fmt.Sprint(len(p.Measures) + 1), Length: score.Whole})
			}
			base := score.Note{Staff: staff + 1, Voice: 1 + 4*staff, Onset: at.Sub(at.Floor(score.Whole)), Length: score.Frac(1, parts)}
			if strings.HasPrefix(moment, "'") {
				base.Grace, base.Length = true, score.Time{}
			}
			if strings.HasPrefix(moment, "~") {
				base.Marks = []score.Mark{{Name: "arpeggiate"}}
			}
			for name := range strings.SplitSeq(strings.Trim(moment, "~'"), "+") {
				if name == "." {
					continue
				}
				base.Pitch = pitch(t, name)
				p.Measures[i].Notes = append(p.Measures[i].Notes, base)
				base.GraceChord = base.Grace
			}
			at = at.Add(base.Length)
		}
	}
	first := p.Measures[0]
	first.Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}}}
	first.Clefs = []score.ClefChange{{Staff: 1, Clef: score.Treble}, {Staff: 2, Clef: score.Bass}}
	first.Directions = []score.Direction{{Sound: score.Sound{Tempo: tempo}}}
	return s
}

func pitch(t testing.TB, name string) score.Pitch {
	t.Helper()
	step, ok := score.ParseStep(name[:1])
	if !ok {
		t.Fatalf("no pitch %q", name)
	}
	p := score.Pitch{Step: step}
	if name = name[1:]; name[0] == '#' || name[0] == 'b' {
		p.Alter = map[byte]score.Alter{'#': score.Sharp, 'b': score.Flat}[name[0]]
		name = name[1:]
	}
	p.Octave = int8(name[0] - '0')
	return p
}

// onPedals and onManual tell where the melody is.
var (
	onManual = []melody.Overrule{{Staff: 1}}
	onPedals = []melody.Overrule{{Staff: 2}}
)

func checked(t testing.TB, s *score.Score, tower string, where []melody.Overrule) *Report {
	t.Helper()
	tw, err := instrument.Named(tower)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Score(s, Options{Tower: tw, Melody: where})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// found lists the findings without blur and balance, which every sheet may
// have.
func found(r *Report) string {
	var all []string
	for _, f := range r.Findings {
		if f.Category != Blur && f.Category != Balance {
			all = append(all, fmt.Sprintf("%s %s at %s.%s", f.Category, f.What, f.Measure, strings.ReplaceAll(f.Beat, " ", "+")))
		}
	}
	return strings.Join(all, "; ")
}

// TestFindings: each category by what is published.
func TestFindings(t *testing.T) {
	tests := []struct {
		name, source   string
		tower          string
		tempo          float64
		parts          int64
		manual, pedals string
		want           string
	}{
		{"nothing to find", "", "47", 60, 1, "C5 D5 E5+G5 C5", "C3 . G3 .", ""},
		{"low C sharp", "GCNA rules 2016/17: keys c, d, e, then chromatic", "47", 60, 1, "C5 C#3 C5 E5", "C#3 . . .", "compass no pedal at 1.1; compass no key at 1.2"},
		{"a pedal too high", "GCNA: pedals to c2", "47", 60, 1, "C5 . . .", ". D5 . .", "compass no pedal at 1.2"},
		{"three pedals", "one pedal per foot: Mechelen", "47", 60, 1, ". . . .", "C3+G3+D4 . . .", "unplayable too many notes at 1.1"},
		{"a low bell repeated", "Gouwens, App. B: the clapper is slow to return", "47", 60, 4, ". . . .", "C3 C3 . .", "too-fast repeated too soon at 1.1+1/4"},
		{"thick chords", "Rensselaer: only for emphasis", "47", 60, 1, "E5+G5+C6 E5+G5+C6 . .", "C3+C4 C3+C4 . .", "too-dense thick chords at 1.1"},
		{"one thick chord", "Rensselaer: for emphasis", "47", 60, 1, "E5+G5+C6 . . .", "C3+C4 . . .", ""},
		{"low major third", "Rensselaer; Gurin, GCNA Bulletin 71", "47", 60, 1, "G5 . . .", "A3 F3+A3 C3 .", "low-thirds low major third at 1.2"},
		{"over hand and foot", "the same", "47", 60, 1, "C4 . . .", "Ab3 . . .", "low-thirds low major third at 1.1"},
		{"low minor third", "Rensselaer: does well there", "47", 60, 1, ". . . .", "F3+Ab3 . . .", ""},
		{"over a bass that rings", "the same, and nothing damps a bell (Carillon Society of Australia)", "47", 60, 1, ". B3 B3 .", "G3 . . .", "ringing-thirds low major third rings at 1.2"},
		{"over a bass that has faded", "the project's own: 10 dB", "47", 60, 1, ". . . B3", "G3 . . .", ""},
		{"over a bass that another has followed", "the project's own", "47", 120, 1, ". . B3 .", "G3 D3 . .", ""},
		{"from middle C over a bass that rings", "from below C4 only", "47", 60, 1, ". E4 . .", "C4 . . .", ""},
		{"major third from middle C", "the same: below C4 only", "47", 60, 1, "C4+E4 . . .", ". . . .", ""},
	}
	for _, tt := range tests {
		r := checked(t, sheet(t, tt.tempo, tt.parts, tt.manual, tt.pedals), tt.tower, nil)
		if got := found(r); got != tt.want {
			t.Errorf("%s (%s): %q, want %q", tt.name, tt.source, got, tt.want)
		}
	}
}

// TestBusyPedals: a busy pedal part on heavy bells is to be avoided but for a
// short effect (Flemish Carillon Association, composing guide).
func TestBusyPedals(t *testing.T) {
	busy := strings.Repeat("C3 G3 D3 A3 ", 4)
	for _, tt := range []struct {
		pedals string
		want   int
	}{{strings.Repeat(busy, 2), 1}, {"C3 G3 D3 A3", 0}, {strings.ReplaceAll(strings.Repeat(busy, 2), "3", "4"), 0}} {
		r := checked(t, sheet(t, 90, 2, ". . . .", tt.pedals), "47", nil)
		if got := r.Totals[TooDense]; got != tt.want {
			t.Errorf("%s: %d findings of busy pedals, want %d", tt.pedals, got, tt.want)
		}
	}
}

// TestSpread: a chord with an arpeggio mark is not struck together ("spread
// chord tones over the measure instead of striking them together", "Arranging
// for Carillon", lesson "Harmony").
func TestSpread(t *testing.T) {
	for text, want := range map[string]string{
		"C4+E4+G4+C5+E5 . . .":  "unplayable too many notes at 1.1",
		"~C4+E4+G4+C5+E5 . . .": "",
	} {
		if got := found(checked(t, sheet(t, 60, 1, text, ". . . ."), "47", nil)); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

// TestGrace: grace notes are struck before their note, not with it, those of a
// chord together.
func TestGrace(t *testing.T) {
	for text, want := range map[string]int{"C5 'A5 B5 . .": 1, "C5 'F5+A5 B5 . .": 2, "C5 'F5 'A5 B5 . .": 1} {
		r := checked(t, sheet(t, 60, 1, text, ". . . ."), "47", nil)
		if got := r.Measures[0].Together; got != want || r.Totals[Unplayable] > 0 && want == 1 {
			t.Errorf("%s: %d notes together, want %d: %s", text, got, want, found(r))
		}
	}
}

// TestBlur: low and fast blurs, slow or high does not (Rensselaer: low bells
// ring longer and must be played slower; nothing damps).
func TestBlur(t *testing.T) {
	const tune, high = "C3 D3 E3 F3 G3 F3 E3 D3", "C6 D6 E6 F6 G6 F6 E6 D6"
	blur := func(tempo float64, manual, pedals string) float64 {
		return checked(t, sheet(t, tempo, 2, manual, pedals), "47", nil).Measures[0].Blur
	}
	slow, fast, top := blur(40, ".", tune), blur(160, ".", tune), blur(40, high, ".")
	if !(top < slow && slow < fast) || fast < ringing.Muddy || top > ringing.Muddy {
		t.Errorf("blur %.2f slow and low, %.2f fast and low, %.2f slow and high; limit %.1f", slow, fast, top, ringing.Muddy)
	}
}

// TestBalance: a melody in the low bells carries; the top octave does not carry
// one over bass notes (common practice, no source).
func TestBalance(t *testing.T) {
	const top, low = "C7 B6 A6 G6", "C3 D3 E3 F3"
	for _, tt := range []struct {
		name  string
		where []melody.Overrule
		want  int
	}{{"melody in the pedals", onPedals, 0}, {"melody on top", onManual, 1}} {
		r := checked(t, sheet(t, 60, 1, top, low), "47", tt.where)
		if got := r.Totals[Balance]; got != tt.want {
			t.Errorf("%s: %d findings, want %d; margin %v dB", tt.name, got, tt.want, *r.Measures[0].Margin)
		}
	}
}

// TestLevels: marks count by staff and voice, and move the balance.
func TestLevels(t *testing.T) {
	mark := func(staff, voice int, text string) score.Direction {
		return score.Direction{Staff: staff, Voice: voice, Signs: []score.Sign{{Name: "dynamics", Text: text}}}
	}
	tests := []struct {
		name  string
		marks []score.Direction
		want  float64 // dB that the manual gains on the pedals
	}{
		{"none", nil, 0},
		{"one staff for both", []score.Direction{mark(1, 1, "f")}, 0},
		{"each staff its own", []score.Direction{mark(1, 1, "f"), mark(2, 5, "p")}, 15},
		{"each voice its own", []score.Direction{mark(1, 1, "ff"), mark(1, 2, "p"), mark(2, 5, "mf")}, 10},
		{"no mark at all", []score.Direction{mark(1, 1, "sfz")}, 0},
	}
	manual := func(tone *score.Tone) bool { return tone.First().Staff == 1 }
	margin := func(s *score.Score) float64 {
		tower, err := instrument.Named("47")
		if err != nil {
			t.Fatal(err)
		}
		r, err := Score(s, Options{Tower: tower, Tune: manual})
		if err != nil {
			t.Fatal(err)
		}
		return *r.Measures[0].Margin
	}
	plain := margin(sheet(t, 60, 1, "C5 . . .", "C4 . . ."))
	for _, tt := range tests {
		s := sheet(t, 60, 1, "C5 . . .", "C4 . . .")
		s.Parts[0].Measures[0].Directions = append(s.Parts[0].Measures[0].Directions, tt.marks...)
		if got := margin(s) - plain; math.Abs(got-tt.want) > 1e-9 {
			t.Errorf("%s: %.1f dB, want %.1f", tt.name, got, tt.want)
		}
	}
}

// TestMarksOfVoices: a mark of one voice alone is for its staff, though the
// voices of the staff have their own elsewhere.
func TestMarksOfVoices(t *testing.T) {
	s := sheet(t, 60, 1, "C5 E5 . . C5 E5", "C3 . . . C3")
	at := func(measure, voice int, text string) {
		m := s.Parts[0].Measures[measure]
		m.Directions = append(m.Directions, score.Direction{
			Staff: 1, Voice: voice, Signs: []score.Sign{{Name: "dynamics", Text: text}},
		})
	}
	at(0, 1, "p")
	at(1, 1, "f")
	at(1, 2, "ff")
	l := levelsOf(s, s.Starts())
	for _, tt := range []struct {
		voice   int
		measure int64
		want    instrument.Dynamic
	}{{1, 0, -2}, {2, 0, -2}, {1, 1, 1}, {2, 1, 2}, {3, 1, -2}} {
		if got := l.of(line{0, 1, tt.voice}, score.Quarters(4*tt.measure)); got != tt.want {
			t.Errorf("voice %d in measure %d: %d marks over mf, want %d", tt.voice, tt.measure+1, got, tt.want)
		}
	}
}

// TestLoudest: without words, the line that is marked loudest is the melody.
func TestLoudest(t *testing.T) {
	s := sheet(t, 60, 1, "C6 D6 E6 F6 E6 D6 C6 G5", "C3 D3 E3 F3 G3 F3 E3 D3")
	m := s.Parts[0].Measures[0]
	for staff, text := range map[int]string{1: "p", 2: "mf"} {
		m.Directions = append(m.Directions, score.Direction{Staff: staff, Signs: []score.Sign{{Name: "dynamics", Text: text}}})
	}
	if r := checked(t, s, "47", nil); r.Melody != "the line that is marked loudest" || *r.Measures[0].Margin < 20 {
		t.Errorf("melody: %s, margin %v dB", r.Melody, *r.Measures[0].Margin)
	}
	if r := checked(t, s, "47", onManual); *r.Measures[0].Margin > 0 {
		t.Errorf("melody: %s, margin %v dB, against what the user says", r.Melody, *r.Measures[0].Margin)
	}
}

// TestDifficulty: a slow line is easy, a fast and leaping one is not.
func TestDifficulty(t *testing.T) {
	easy := checked(t, sheet(t, 60, 1, "C5 D5 E5 F5", "C3 . . ."), "47", nil).Difficulty
	hard := checked(t, sheet(t, 100, 4, strings.Repeat("C5+E5 C6 G5 C7 ", 8), strings.Repeat("C3 . G3 . ", 8)), "47", nil).Difficulty
	if easy.Level != 1 || !easy.Playable || hard.Level != 5 {
		t.Errorf("easy %+v, hard %+v", easy, hard)
	}
}

func TestNothing(t *testing.T) {
	s := sheet(t, 60, 1, ". . . .", ". . . .")
	if _, err := Score(s, Options{}); err == nil {
		t.Error("a score without notes has been checked")
	}
	if _, err := Score(sheet(t, 1e-320, 1, "C5 D5 . .", ". . . ."), Options{}); err == nil {
		t.Error("a score that never ends has been checked")
	}
}

// TestSharedScores checks every score that there is, whatever it is for: the
// same each time, with findings that have places, limits and totals.
func TestSharedScores(t *testing.T) {
	files, err := filepath.Glob("../../testdata/roundtrip/*.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	files = slices.Concat(files, scoretest.Shared(t), scoretest.Examples(t))
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := musicxml.Read(bytes.NewReader(data), filepath.Base(file), musicxml.Limits{})
		if err != nil {
			continue
		}
		r, err := Score(doc.Score(), Options{})
		if err != nil {
			continue // nothing to strike
		}
		again, err := Score(doc.Score(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		var one, two bytes.Buffer
		if r.WriteText(&one) != nil || again.WriteText(&two) != nil || one.String() != two.String() {
			t.Errorf("%s: two checks differ", file)
		}
		sum := 0
		for _, n := range r.Totals {
			sum += n
		}
		if sum != len(r.Findings) || len(r.Totals) != len(Categories()) {
			t.Errorf("%s: totals %v of %d findings", file, r.Totals, len(r.Findings))
		}
		for _, f := range r.Findings {
			if f.Measure == "" && f.Part == "" || f.Text == "" || math.IsNaN(f.Value) || math.IsInf(f.Value, 0) {
				t.Errorf("%s: %+v", file, f)
			}
		}
	}
}
