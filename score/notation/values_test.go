package notation

import (
	"testing"

	"undersong/score"
)

func TestValueOf(t *testing.T) {
	for _, c := range []struct {
		length score.Time
		name   string // "" for none
		dots   int
	}{
		{score.Quarters(32), "maxima", 0},
		{score.Quarters(48), "maxima", 1},
		{score.Quarters(64), "", 0},
		{score.Quarters(8), "breve", 0},
		{score.Quarters(3), "half", 1},
		{score.Quarters(7), "whole", 2},
		{score.Frac(7, 4), "quarter", 2},
		{score.Frac(15, 8), "quarter", 3},
		{score.Frac(31, 16), "", 0},
		{score.Frac(5, 4), "", 0},
		{score.Frac(1, 3), "", 0},
		{score.Frac(1, 256), "1024th", 0},
		{score.Frac(1, 512), "", 0},
		{score.Frac(3, 512), "1024th", 1},
		{score.Time{}, "", 0},
	} {
		v, ok := valueOf(c.length)
		if name := ""; ok {
			if name = v.name(); name != c.name || v.dots != c.dots {
				t.Errorf("%s quarters: %s with %d dots, want %q with %d", c.length, name, v.dots, c.name, c.dots)
			}
		} else if c.name != "" {
			t.Errorf("%s quarters: no value, want %s", c.length, c.name)
		}
	}
}

func TestNotes(t *testing.T) {
	testShown(t, []shownCase{
		{"plain", "4/4", "C4:1 D4:2 E4:1", "q h q"},
		{"dots", "4/4", "C4:3/2 D4:1/2 E4:7/4 F4:1/4", "q. e q.. s"},
		{"three dots", "4/4", "C4:15/4 D4:1/4", "h... s"},
		{"one value across the beat", "4/4", "C4:1/2 D4:1 E4:2 C4:1/2", "e q h e"},
		{"tied at the half measure", "4/4", "C4:5/2 D4:3/2", "h~ e q."},
		{"tied at the beat", "3/4", "C4:5/4 D4:7/4", "q~ s q.."},
		{"tied to the half measure", "4/4", "D4:3/4 C4:5/4 E4:2", "e.( s~)< q h"},
		{"tied at the dotted beat", "6/8", "C4:5/2 D4:1/2", "q.~ q e"},
		{"tied in three pieces", "4/4", "D4:1/4 C4:29/8 E4:1/8", "s q..~ q... t"},
		{"breve", "8/4", "C4:8", "B"},
		{"too fine for any value", "2/4", "C4:1/1024 D4:2047/1024", "? ?"},
		{"no tuplet of so many", "1/4", "C4:1/97 D4:96/97", "? ?"},
	})
}

func TestRests(t *testing.T) {
	testShown(t, []shownCase{
		{"show the beats", "4/4", "C4:1/2 -:3 D4:1/2", "e re rq rq re e"},
		{"halves of 4/4", "4/4", "-:2 C4:2", "rh h"},
		{"not across the middle", "4/4", "C4:1 -:2 D4:1", "q rq rq q"},
		{"no half in 3/4", "3/4", "C4:1 -:2", "q rq rq"},
		{"rest of the score stays", "3/4", "C4:1 r:2", "q rh"},
		{"compound, end of the beat", "6/8", "C4:1/2 -:5/2", "e re re rq."},
		{"compound, start of the beat", "6/8", "-:1 C4:1/2 -:3/2", "rq e rq."},
		{"12/8 by halves", "12/8", "-:3 C4:3", "rh. h."},
		{"halves of 2/2", "2/2", "-:2 C4:2", "rh h"},
		{"6/4 by halves", "6/4", "-:3 C4:1 -:2", "rh. q rq rq"},
		{"7/8", "7/8", "-:1 C4:1 -:3/2", "rq q rq."},
		{"sum", "3+2/8", "-:3/2 C4:1", "rq. q"},
		{"small ones by halves", "1/4", "C4:1/8 -:7/8", "t rt rs re"},
		{"score's rest with no value", "4/4", "r:5/2 C4:3/2", "rh re q."},
		{"whole measure", "4/4", "r:4", "measure"},
		{"nothing", "4/4", "-:4", "measure"},
		{"short measure", "4/4", "-:3", "rh rq"},
		{"no time signature", "", "-:7", "measure"},
	})
}

// TestUpbeat: the first measure and one that is not counted end with the
// barline when they are short, others begin with it.
func TestUpbeat(t *testing.T) {
	for _, c := range []struct {
		time, notes     string
		later, implicit bool
		want            string
	}{
		{"4/4", "C4:1/2 C4:1/2 C4:1/2", false, false, "e e( e)"},
		{"4/4", "C4:1/2 C4:1/2 C4:1/2", true, false, "e( e) e"},
		{"4/4", "C4:1/2 C4:1/2 C4:1/2", true, true, "e e( e)"},
		{"6/8", "C4:1/2 C4:1/2 C4:1/2 C4:1/2", false, false, "e e( e- e)"},
		{"4/4", "C4:1/3", false, false, "e3:2"},
		{"4/4", "-:1 C4:2", false, false, "rq h"},
		{"4/4", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", true, false, "e( e- e- e) e( e- e- e) e( e)"},
	} {
		m := measure(t, c.notes)
		m.Times, m.Implicit = timeChange(c.time), c.implicit
		voices := engrave(m, 1, c.later)
		if got := show(&voices[0]); got != c.want {
			t.Errorf("%s in %s, later %v, implicit %v: got %s, want %s", c.notes, c.time, c.later, c.implicit, got, c.want)
		}
	}
}
