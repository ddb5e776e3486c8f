package playing

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// TestHelped: a hand takes what the feet cannot reach in time, no more than it may, and
// nothing where a bell is struck again too soon (Gouwens, App. B: the clapper is slow).
func TestHelped(t *testing.T) {
	for _, c := range []struct {
		name, strokes string
		apart         float64
		most          int
		byHand, left  int
	}{
		{"time enough", "48p 60p 48p 60p", 0.5, 2, 0, 0},
		{"one leap too many", "48p 60p 50p 62p 64p", 0.22, 2, 1, 0},
		{"no help asked for", "48p 60p 50p 62p 64p", 0.22, 0, 0, 1},
		{"more than help may do", "48p 60p 50p 62p 52p 64p 53p 65p 55p 67p 57p 69p", 0.08, 2, 2, 6},
		{"a bell too soon", "48p 50p 50p 48p", 0.25, 2, 0, 1},
		{"on the manual", "72 72 74 74", 0.15, 2, 0, 2},
	} {
		byHand, left := For(named(t, "47")).Helped(line(t, c.apart, c.strokes), c.most)
		if len(byHand) != c.byHand || len(left) != c.left {
			t.Errorf("%s: %s: by hand %v, left %+v", c.name, c.strokes, byHand, left)
		}
	}
}

// TestHelpedByTheRules: where nothing is left, the rules of rules_test.go find nothing
// either; and what limbs can play in turn Assign can.
func TestHelpedByTheRules(t *testing.T) {
	r := rules{named(t, "47")}
	player := For(r.tower)
	key, gap := rapid.IntRange(52, 72), rapid.SampledFrom([]float64{0.1, 0.2, 0.25, 0.3, 0.45, 0.6})
	rapid.Check(t, func(t *rapid.T) {
		pedals := rapid.IntRange(0, 3).Draw(t, "hands") > 0
		var strokes []Stroke
		now := 0.0
		for range rapid.IntRange(1, 9).Draw(t, "strokes") {
			now += gap.Draw(t, "gap")
			strokes = append(strokes, Stroke{At: now, Key: key.Draw(t, "key"), Pedal: pedals})
		}
		if a := player.Assign(strokes); player.InTurn(strokes) && !a.Playable() {
			for _, p := range a.Problems {
				if p.Reason.Impossible() {
					t.Fatalf("%v can be played in turn, but %v", strokes, p)
				}
			}
		}
		byHand, left := player.Helped(strokes, 2)
		if len(byHand) > 2 || !pedals && len(byHand) > 0 {
			t.Fatalf("%v: by hand %v", strokes, byHand)
		}
		for _, i := range byHand {
			strokes[i].Pedal = false
		}
		a := player.Assign(strokes)
		if len(left) == 0 {
			if why := r.broken(strokes, a.Limbs); why != "" {
				t.Fatalf("%v, by hand %v: %s", strokes, byHand, why)
			}
		}
	})
}

// TestShort: by what part of its time a stroke comes too soon.
func TestShort(t *testing.T) {
	for _, c := range []struct {
		p    Problem
		want string
	}{
		{Problem{Reason: TooSoon, Value: 0.15, Limit: 0.2}, "0.25"},
		{Problem{Reason: Repeated, Value: 0.1, Limit: 0.4}, "0.75"},
		{Problem{Reason: TooWide, Value: 200, Limit: 140}, "1.00"},
	} {
		if got := fmt.Sprintf("%.2f", c.p.Short()); got != c.want {
			t.Errorf("%+v: %s, want %s", c.p, got, c.want)
		}
	}
}
