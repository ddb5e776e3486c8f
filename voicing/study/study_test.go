package study

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/melody"
)

func tower(t testing.TB, name string) *instrument.Tower {
	t.Helper()
	tower, err := instrument.Named(name)
	if err != nil {
		t.Fatal(err)
	}
	return tower
}

func of(s *score.Score, tower *instrument.Tower, overrules ...melody.Overrule) *Study {
	return Analyse(s, overrules).Study(tower)
}

// TestLikeVoice: the key that is advised is the one that voicing chooses, the tempo is the one
// that it assumes, and the verdicts count the phrases and name the keys that it puts into the pedals.
func TestLikeVoice(t *testing.T) {
	for _, file := range scoretest.Shared(t) {
		for _, bells := range []string{"35", "47"} {
			s, tower := scoretest.Score(t, file), tower(t, bells)
			a := Analyse(s, nil)
			st := a.Study(tower)
			_, report, err := voicing.Voice(s, voicing.Options{Tower: tower, Transpose: voicing.TransposeAuto})
			if err != nil {
				t.Fatal(err)
			}
			chosen := report.Transpose
			if x := st.Transpose; (x == nil) != (chosen == 0) || x != nil && x.Semitones != chosen {
				t.Errorf("%s, %s bells: %+v advised, %+d chosen", file, bells, x, chosen)
			}
			out, report, err := voicing.Voice(s, voicing.Options{Tower: tower})
			if err != nil {
				t.Fatal(err)
			}
			if tempo, _ := out.Clock().Tempo(); tempo != st.Tempo.PerMinute {
				t.Errorf("%s, %s bells: %.0f quarter notes a minute, voiced in %.0f", file, bells, st.Tempo.PerMinute, tempo)
			}
			for i, sec := range st.Sections {
				if want := pedals(out, a.Sections[i]); sec.Verdict.Pedals != want {
					t.Errorf("%s, %s bells, %s: on %s, voiced on %s", file, bells, sec.title(), sec.Verdict.Pedals, want)
				}
			}
			if better := report.BetterKey; better != 0 && better != chosen {
				t.Errorf("%s, %s bells: %+d semitones proposed, %+d chosen", file, bells, better, chosen)
			}
			whole := true // in the pedals, as the verdicts have it of the melody
			for _, sec := range st.Sections {
				for _, r := range sec.Verdict.Reasons {
					whole = whole && (r.What != "pedals" || r.Value == 1)
				}
			}
			byHand := slices.ContainsFunc(report.Findings, func(f voicing.Finding) bool {
				return !strings.Contains(f.Text, "interlude") && (strings.Contains(f.Text, "not into the pedals") || strings.Contains(f.Text, "changes its octave inside"))
			})
			if whole == byHand {
				t.Errorf("%s, %s bells: every phrase in the pedals: %v, voiced otherwise: %v", file, bells, whole, byHand)
			}
		}
	}
}

// pedals are the lowest and the highest key of the melody in the pedals, in a section of a
// result.
func pedals(result *score.Score, sec form.Section) string {
	var low, high *score.Pitch
	for _, tone := range result.Tones() {
		n := tone.First()
		if !n.Melody || n.Staff != 2 || n.Grace || tone.Onset.Less(sec.From) || !tone.Onset.Less(sec.To) {
			continue
		}
		if low == nil || n.Pitch.MIDI() < low.MIDI() {
			low = &n.Pitch
		}
		if high == nil || n.Pitch.MIDI() > high.MIDI() {
			high = &n.Pitch
		}
	}
	switch {
	case low == nil:
		return ""
	case low.MIDI() == high.MIDI():
		return low.String()
	}
	return low.String() + "–" + high.String()
}

// TestTempoLikeVoice: where a slower tempo is assumed so that the melody can be struck, the verdicts
// are for that one.
func TestTempoLikeVoice(t *testing.T) {
	m := music{slices.Concat(slices.Repeat(scale, 3), []int{67, 67}, slices.Repeat(scale, 3)), 1, score.Quarter, 0, 0}
	s := m.score()
	s.Parts[0].Measures[0].Directions = nil
	notes := s.Parts[0].Measures[9].Notes // as quick as the bell can be struck again at 85
	quick := score.Frac(int64(1000*tower(t, "47").RepeatTime(55)*85/60), 1000)
	notes[0].Length, notes[1].Onset = quick, quick
	notes[1].Length = score.Quarters(2).Sub(quick)
	st := of(s, tower(t, "47"))
	if st.Tempo != (Tempo{84, "assumed", 90}) && st.Tempo != (Tempo{85, "assumed", 90}) || st.Sections[0].Texture.Tempo != st.Tempo.PerMinute {
		t.Errorf("%+v, %v", st.Tempo, st.Sections[0].Texture.Tempo)
	}
	if want := fmt.Sprintf("%.0f quarter notes a minute (assumed: at the usual 90 not all of the melody can be struck in time)", st.Tempo.PerMinute); st.Tempo.String() != want {
		t.Errorf("%q", st.Tempo)
	}
}

// TestHelpIsSaid: a stroke that a hand takes over for the feet asks for care and no
// more, however short the piece.
func TestHelpIsSaid(t *testing.T) {
	m := music{[]int{60, 72, 62, 74, 76, 74, 72, 71, 69, 67, 65, 64, 62, 64, 65, 67}, 1, score.Frac(22, 100), 60, 0}
	r := m.verdict(t, tower(t, "47")).reason(t, "feet")
	if r.Speaks != Care || !strings.HasSuffix(r.Text, ": the left hand helps with 1") {
		t.Errorf("%+v", r)
	}
}

// TestSong: the example song's sections, verdicts and phrases, as its README
// tells them: the verses lively, the choruses moderate, each upbeat with what
// follows it.
func TestSong(t *testing.T) {
	s := of(scoretest.Score(t, song), tower(t, "47"))
	var got []string
	for _, sec := range s.Sections {
		got = append(got, sec.title()+": "+sec.Verdict.Inverted)
	}
	want := []string{
		"Intro (A), 1–4: yes", "Verse 1 (B), 5–12: with care", "Chorus (C), 13–20: yes", "Verse 2 (B), 21–28: with care",
		"Chorus (C), 29–36: yes", "Bridge (D), 37–45 ×2: yes", "Last Chorus (C′), 46–56: yes", "Ending (E), 57–60: yes",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if s.Key.Name != "G major" || s.Tempo.PerMinute != 88 || s.Tempo.From != "the score" || s.Sure != 100 {
		t.Errorf("key %s, tempo %v, sure %d", s.Key.Name, s.Tempo, s.Sure)
	}
	if c := s.LastChorus; c == nil || c.Name != "Last Chorus" || c.FirstMeasure != "46" || c.From != "177/1" {
		t.Errorf("last chorus %+v", c)
	}
	if len(s.Melody) != 255 || s.Melody[0] != (Note{"0/1", 67, "1", "P1"}) {
		t.Errorf("melody of %d notes begins with %v", len(s.Melody), s.Melody[0])
	}
	if len(s.Order) != 9 || s.Order[6].Name != "Bridge" || s.Order[6].Nth != 2 || s.Order[6].LastMeasure != "45" {
		t.Errorf("order %v", s.Order)
	}
	for _, p := range s.Phrases {
		if len(p.PedalOctaves) == 0 || p.PedalOctaves[0] != 0 && p.PedalOctaves[0] != -1 {
			t.Errorf("phrase from measure %s goes into the pedals by %v octaves", p.FirstMeasure, p.PedalOctaves)
		}
	}
}

// TestOverrule: where the user says that the melody is, it is.
func TestOverrule(t *testing.T) {
	s := scoretest.Score(t, song)
	o, err := melody.ParseOverrule("staff=2,measures=1-4")
	if err != nil {
		t.Fatal(err)
	}
	st := of(s, tower(t, "47"), o)
	if st.Melody[0].Pitch >= 60 || !strings.Contains(st.MelodyFrom, "overruled by staff=2,measures=1-4") {
		t.Errorf("melody from %s begins with %v", st.MelodyFrom, st.Melody[0])
	}
	if last := st.Melody[len(st.Melody)-1]; last.Pitch < 60 {
		t.Errorf("the rest changed too: %v", last)
	}
}

var onset = regexp.MustCompile(`^\d+/[1-9]\d*$`)

// TestEverything studies every score for three towers: the sections cover
// every measure once and in order, the phrases the melody, figures are figures,
// and the JSON is the same again when it is read back.
func TestEverything(t *testing.T) {
	for _, file := range append(scoretest.Shared(t), song) {
		s := scoretest.Score(t, file)
		for _, name := range []string{"23", "47", "61"} {
			st := of(s, tower(t, name))
			checkCover(t, file, s, st)
			checkReasons(t, file, st)
			text, err := json.Marshal(st)
			if err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			var again Study
			if err := json.Unmarshal(text, &again); err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			if diff := cmp.Diff(st, &again); diff != "" {
				t.Errorf("%s: %s", file, diff)
			}
			var out bytes.Buffer
			if err := st.WriteText(&out); err != nil || !strings.Contains(out.String(), "inverted?") {
				t.Errorf("%s: %v\n%s", file, err, out.String())
			}
		}
	}
}

func checkCover(t *testing.T, file string, s *score.Score, st *Study) {
	t.Helper()
	at, measure := "0/1", 0
	p := newPlaces(s)
	for _, sec := range st.Sections {
		if sec.From != at || sec.FirstMeasure != p.score.MeasureNumber(measure) {
			t.Errorf("%s: %s begins at %s in measure %s, not %s in %s", file, sec.Name, sec.From, sec.FirstMeasure, at, p.score.MeasureNumber(measure))
		}
		for measure++; measure < s.MeasureCount() && p.score.MeasureNumber(measure-1) != sec.LastMeasure; measure++ {
		}
		at = sec.To
	}
	if end := fraction(p.starts[len(p.starts)-1]); measure != s.MeasureCount() || at != end {
		t.Errorf("%s: sections end after %d of %d measures at %s of %s", file, measure, s.MeasureCount(), at, end)
	}
	notes := 0
	for _, ph := range st.Phrases {
		notes += ph.Notes
	}
	if notes != len(st.Melody) {
		t.Errorf("%s: phrases have %d of %d notes", file, notes, len(st.Melody))
	}
	for _, n := range st.Melody {
		if !onset.MatchString(n.Onset) || n.Part == "" {
			t.Errorf("%s: note %v", file, n)
		}
	}
}

// checkReasons: each reason names its figure, its limits and, where it speaks
// against inversion, the worst place.
func checkReasons(t *testing.T, file string, st *Study) {
	t.Helper()
	for _, sec := range st.Sections {
		for _, r := range sec.Verdict.Reasons {
			if r.Text == "" || r.What == "" || r.Speaks != For && r.Measure == "" {
				t.Errorf("%s: %s: reason %+v", file, sec.Name, r)
			}
		}
		if v := sec.Verdict; (v.Inverted == "") != (sec.Texture.Melody.Notes == 0) || v.Inverted != "" && v.TenorText == "" {
			t.Errorf("%s: %s: verdict %+v", file, sec.Name, v)
		}
	}
}

// TestText: what a player reads first.
func TestText(t *testing.T) {
	var out bytes.Buffer
	if err := of(scoretest.Score(t, song), tower(t, "47")).WriteText(&out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"A Lamp for the Late Boat, for tower 47\nkey: G major, E minor 37–43\ntempo: 88 quarter notes a minute (the score)\n",
		"melody: the sung line of part Piano, 255 notes in 21 phrases, sure: 100 %\n",
		"played: Intro · Verse 1 · Chorus · Verse 2 · Chorus · Bridge 37–42 · Bridge 37–40, 43–45 · Last Chorus · Ending\n",
		"last chorus: Last Chorus, 46–56 (its heading)\n",
		"  Chorus (C), 13–20        yes          D3–E4 in the pedals; 1.4 notes a second",
		"    care: 5.2 bells of it are heard at once (limit 5, utmost 8), 7 at worst, measure 11\n",
		"    in the tenor: the left hand can play it\n",
		"phrases from: 1, 4 beat 4 1/2, 6 beat 4 1/2",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

func TestInShort(t *testing.T) {
	for row, want := range map[string]string{
		"A": "A", "A A A": "A ×3", "A B A B": "(A · B) ×2", "A B A": "A · B · A", "V C V C B C": "V · C · V · C · B · C",
	} {
		if got := inShort(strings.Fields(row)); got != want {
			t.Errorf("%s in short is %s, want %s", row, got, want)
		}
	}
}

// TestUnsureText: one measure is no measures.
func TestUnsureText(t *testing.T) {
	st := Study{Phrases: []Phrase{{Span: Span{Measures: Measures{"1", "1"}}, Sure: 40}, {Span: Span{Measures: Measures{"2", "4"}}, Sure: 50, Rival: "the top line"}}}
	var b strings.Builder
	st.writeUnsure(&b)
	want := "unsure: measure 1, 40 %; --melody sets it\nunsure: measures 2–4, 50 %; it might be the top line; --melody sets it\n"
	if b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
}

// Measures in which no melody was found are named.
func TestMissingText(t *testing.T) {
	st := Study{Missing: []Span{{Measures: Measures{"1", "8"}}, {Measures: Measures{"17", "20"}}}}
	var b strings.Builder
	st.writeUnsure(&b)
	if want := "no melody found in measures 1–8, 17–20; if there is one, --melody sets it\n"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
}

// A section in which another line leads while the melody rests is not said to be without
// any.
func TestInvertedText(t *testing.T) {
	for want, s := range map[string]Section{
		"with care":          {Verdict: Verdict{Inverted: WithCare}, Led: true},
		"another line leads": {Led: true},
		"no melody":          {},
	} {
		if got := s.InvertedText(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	for _, file := range scoretest.Shared(t) {
		if filepath.Base(file) != "Kinkel_Klage.mxl" {
			continue
		}
		for i, sec := range of(scoretest.Score(t, file), tower(t, "47")).Sections {
			if led := i == 1; sec.Led != led { // the ending, 24-32
				t.Errorf("%s: led by an interlude: %v", sec.Name, sec.Led)
			}
		}
	}
}
