package score_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undersong/score"
	"undersong/score/scoretest"
)

const formsDir = "../testdata/forms"

// forms are the expected orders of performance, by file.
func forms(t testing.TB) map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(formsDir, "orders.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]string{}
	for line := range strings.Lines(string(text)) {
		columns := strings.Split(strings.TrimSpace(line), "\t")
		all[columns[0]] = columns[1]
	}
	if len(all) < 12 {
		t.Fatalf("%d forms, want at least 12", len(all))
	}
	return all
}

func numbers(s *score.Score, order []score.Played) string {
	var all []string
	for _, p := range order {
		all = append(all, s.Parts[0].Measures[p.Measure].Number)
	}
	return strings.Join(all, " ")
}

func TestPerformanceOfForms(t *testing.T) {
	for file, want := range forms(t) {
		t.Run(file, func(t *testing.T) {
			s := scoretest.Score(t, filepath.Join(formsDir, file))
			order, err := s.Performance()
			if err != nil {
				t.Fatal(err)
			}
			if got := numbers(s, order); got != want {
				t.Errorf("order %s, want %s", got, want)
			}
		})
	}
}

func TestPerformanceOfSketches(t *testing.T) {
	for _, test := range []struct{ name, sketch, want string }{
		{"no sign", "1 2 3", "1 2 3"},
		{"times", "|: 1 :|3 2", "1 1 1 2"},
		{"times of one", "|: 1 :|1 2", "1 2"},
		{"three deep", "|: 1 |: 2 |: 3 :| 4 :| 5 :|", "1 2 3 3 4 2 3 3 4 5 1 2 3 3 4 2 3 3 4 5"},
		{"nested, without a forward repeat of its own", "|: 1 :| |: 2 |: 3 :| 4 :|", "1 1 2 3 3 4 2 3 3 4"},
		{"range of endings", "|: 1 [1-3 2 :| ] [4 3 ] 4", "1 2 1 2 1 2 1 3 4"},
		{"endings with points", "|: 1 [1.,2. 2 :| ] [3. 3 ]", "1 2 1 2 1 3"},
		{"ending by words", "|: 1 [1 2 :| ] [last_time 3 ] 4", "1 2 1 3 4"},
		{"a lone ending", "|: 1 [1 2 :| ] 3", "1 2 1 3"},
		{"a lone ending for two times", "|: 1 [1,2 2 :| ] 3", "1 2 1 2 1 3"},
		{"repeats in all endings", "|: 1 [1 2 :| ] [2 3 :| ]", "1 2 1 3"},
		{"endings without a stop", "|: 1 [1 2 3 :| [2 4 ] 5", "1 2 3 1 4 5"},
		{"an ending that runs into the next", "|: 1 [1 2 :| [2 3 [3 4 ] 5", "1 2 1 3 5"},
		{"endings next to endings", "|: 1 [1 2 :| ] [2 3 ] [1 4 :| ] [2 5 ] 6", "1 2 1 3 4 5 6"},
		{"endings out of order", "|: 1 [2 2 :| ] [1 3 :| ] 4", "1 3 1 2 4"},
		{"a repeat inside an ending", "|: 1 [1 2 |: 3 :| 4 :| ] [2 5 ]", "1 2 3 3 4 1 5"},
		{"a repeat inside the second ending, of all that it is in", "|: [1 1 2 :| ] [2 3 :| 4 :| ]", "1 2 3 3 4"},
		{"endings without repeat or jump", "1 [1 2 ] [2 3 ] 4", "1 2 3 4"},
		{"endings for a jump", "1 [1 2 ] >D.C. [2 3 ] 4", "1 2 1 3 4"},
		{"hopeless numbers", "|: 1 [0,5-2,99999999999999999999 2 :| ] 3", "1 2 1 3"},

		{"words: D. C.", "1 2 >D._C.", "1 2 1 2"},
		{"words: DC al fine", "1 >FINE 2 >DC_al_fine", "1 2 1"},
		{"words: Da Capo", "1 >Fine. 2 >Da_Capo_al_Fine", "1 2 1"},
		{"words: D.S.", "1 @segno 2 3 >D.S.", "1 2 3 2 3"},
		{"words: Dal Segno", "1 <Segno 2 >(Fine) 3 >Dal_Segno_al_Fine", "1 2 3 2"},
		{"words: D. 𝄋", "1 @segno 2 3 >Dal_𝄋", "1 2 3 2 3"},
		{"words: to coda", "1 >To_Coda 2 >D.C._al_Coda <Coda 3", "1 2 1 3"},
		{"words: To, and the sign", "1 >to_𝄌 2 >D.C. @coda 3", "1 2 1 3"},
		{"words: al Coda apart from the jump", "1 >To_Coda 2 >D.C. >al_Coda @coda 3", "1 2 1 3"},
		{"two coda signs", "1 @coda 2 3 >D.C._al_Coda @coda 4", "1 2 3 1 2 4"},
		{"not words of a jump", "1 >D_C 2 >Dcresc. 3 >poco_a_poco_al_fine", "1 2 3"},
		{"the aim counts: fine", "1 >To_Coda 2 >Fine 3 >D.C._al_Fine @coda 4", "1 2 3 1 2"},
		{"the aim counts: coda", "1 >Fine 2 >To_Coda 3 >D.C._al_Coda @coda 4", "1 2 3 1 2 4"},
		{"fine without a jump", "1 >Fine 2", "1 2"},
		{"two jumps", "1 >Fine 2 >D.C. 3 >D.C._al_Fine", "1 2 1"},
		{"the segno before", "@segno 1 2 >D.S. @segno 3 4 >D.S.", "1 2 1 2 3 4 3 4"},
		{"a segno behind", "1 >D.S. 2 @segno 3", "1 3"},
		{"a coda before", "@coda 1 2 >To_Coda 3 >D.C.", "1 2 3 1 2 1 2 3"},
		{"a jump into a repeat", "|: 1 @segno 2 :| 3 >D.S.", "1 2 1 2 3 2 3"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := sketch(t, test.sketch)
			order, err := s.Performance()
			if err != nil {
				t.Fatal(err)
			}
			if got := numbers(s, order); got != test.want {
				t.Errorf("%s: order %s, want %s", test.sketch, got, test.want)
			}
		})
	}
}

func TestPerformanceErrors(t *testing.T) {
	inside := sketch(t, "1 2")
	inside.Parts[0].Measures[1].Barlines = []score.Barline{{Location: "middle", Repeat: "backward"}}
	many := sketch(t, strings.Repeat("@segno 1 >D.S. ", 1001))
	for _, test := range []struct {
		name string
		s    *score.Score
		want string
	}{
		{"too many times", sketch(t, "|: 1 :|100001"), "measure 1: the repeats ask for more than 100000 measures"},
		{"too deep", sketch(t, strings.Repeat("|: 1 ", 20)+strings.Repeat(":| 2 ", 20)), "more than 100000 measures"},
		{"no segno", sketch(t, "1 2 >D.S."), "measure 2: a D.S. without a segno"},
		{"no coda", sketch(t, "1 >To_Coda 2 >D.C."), "measure 1: a To Coda without a coda"},
		{"inside a measure", inside, "measure 2: a repeat inside the measure"},
		{"too many jumps", many, "more than 1000 jumps"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := test.s.Performance()
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("error %v, want %q", err, test.want)
			}
			if _, again := test.s.WrittenOut(); again == nil {
				t.Error("written out without an error")
			}
		})
	}
}

func TestPerformanceTimes(t *testing.T) {
	s := sketch(t, "|: 1 [1 2 :| ] [2 3 3a ] 4 >D.C.")
	order, err := s.Performance()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range order {
		got = append(got, s.Parts[0].Measures[p.Measure].Number+":"+string(rune('0'+p.Nth))+string(rune('0'+p.Through)))
	}
	want := "1:11 2:11 1:22 3:12 3a:12 4:11 1:33 3:23 3a:23 4:22"
	if strings.Join(got, " ") != want {
		t.Errorf("times %v, want %s", got, want)
	}
}

func TestPerformanceFollowsSounds(t *testing.T) {
	s := sketch(t, "1 2 3 4 5")
	sound := func(number string, sound score.Sound) {
		m := measure(t, s, number)
		m.Directions = append(m.Directions, score.Direction{Sound: sound})
	}
	sound("2", score.Sound{Segno: "a"})
	sound("3", score.Sound{ToCoda: "c", TimeOnly: "3"})
	sound("4", score.Sound{DalSegno: "a", TimeOnly: "1, 2"})
	sound("5", score.Sound{Coda: "c"})
	order, err := s.Performance()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := numbers(s, order), "1 2 3 4 2 3 4 2 3 5"; got != want {
		t.Errorf("order %s, want %s", got, want)
	}
}

func TestPerformanceReadsOddBarlines(t *testing.T) {
	s := sketch(t, "1 2 3 4")
	// A forward repeat and a segno at the end of a measure are the next one's,
	// a backward repeat at the start is that of the one before.
	measure(t, s, "1").Barlines = []score.Barline{{Location: "right", Repeat: "forward", Segno: true}}
	measure(t, s, "4").Barlines = []score.Barline{
		{Location: "left", Repeat: "backward"}, {Location: "left", Coda: true},
	}
	last := measure(t, s, "4")
	last.Directions = append(last.Directions,
		direction(last.Length, "segno", ""), score.Direction{Onset: last.Length, Sound: score.Sound{ForwardStart: true}})
	order, err := s.Performance()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := numbers(s, order), "1 2 3 2 3 4"; got != want {
		t.Errorf("order %s, want %s", got, want)
	}
}
