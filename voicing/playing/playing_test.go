package playing

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"undersong/instrument"
)

// line reads strokes: "48p" is a pedal, "60+64" are struck together, each
// moment so many seconds after the one before.
func line(t testing.TB, apart float64, text string) []Stroke {
	t.Helper()
	var strokes []Stroke
	for i, moment := range strings.Fields(text) {
		for note := range strings.SplitSeq(moment, "+") {
			s := Stroke{At: apart * float64(i), Pedal: strings.HasSuffix(note, "p")}
			if _, err := fmt.Sscanf(note, "%d", &s.Key); err != nil {
				t.Fatal(err)
			}
			strokes = append(strokes, s)
		}
	}
	return strokes
}

func reasons(a Assignment) string {
	var all []string
	for _, p := range a.Problems {
		all = append(all, p.Reason.String())
	}
	return strings.Join(all, ", ")
}

// TestTradeFacts holds the assignment to what is published about playing.
func TestTradeFacts(t *testing.T) {
	tests := []struct {
		name, source, tower string
		apart               float64
		strokes, want       string
	}{
		{"two notes in a hand at rest", "Gouwens, App. B; Rensselaer; Mechelen", "47", 1, "60+64+67+72", ""},
		{"one note per hand when moving", "Gouwens, App. B", "47", 0.35, "60+72 62+74 64+76", ""},
		{"two per hand only in slow passages", "Gouwens, App. B", "47", 0.35, "60+64+72 62+65+74", "no time for several notes"},
		{"no wider than a fourth", "Gouwens, App. B", "47", 1, "60+65+72+77", ""},
		{"a tritone is wider", "Gouwens, App. B", "47", 1, "60+66+72+78", "too wide, too wide"},
		{"a third note in a hand", "Gouwens, App. B: only exceptionally", "47", 1, "60+62+64+67+69", "too many notes"},
		{"one pedal per foot", "Mechelen; Karlskirche Kassel", "47", 1, "48p+55p", ""},
		{"three pedals", "Mechelen; Karlskirche Kassel", "47", 1, "48p+52p+55p", "too many notes"},
		{"six notes", "Mechelen; Karlskirche Kassel", "47", 1, "48p+55p+60+64+67+72", ""},
		{"a tenth between the feet", "Arts at Michigan 2022", "47", 1, "48p+64p", ""},
		{"an eleventh between the feet", "Arts at Michigan 2022", "47", 1, "48p+65p", "too far apart"},
		{"two octaves between the hands", "Arts at Michigan 2022", "47-short", 1, "60+84", ""},
		{"two octaves and a third", "Arts at Michigan 2022", "47-short", 1, "60+88", "too far apart"},
		{"a quick leap of an octave in one hand", "Arts at Michigan 2022", "47", 0.4, "84+60 84+72 84+60", "quick leap, quick leap"},
		{"a slow leap of an octave", "Arts at Michigan 2022", "47", 0.6, "84+60 84+72 84+60", ""},
		{"a low bell repeated fast", "Gouwens, App. B", "47", 0.25, "48p 48p", "repeated too soon"},
		{"a small bell repeated as fast", "Gouwens, App. B", "47", 0.25, "84 84", ""},
		{"hand and foot on one key", "TowerBells.org: one stroke", "47", 1, "60p+60 60", ""},
		{"a low C sharp", "GCNA rules 2016/17: often absent", "47", 1, "49p 49", "no key, no key"},
	}
	for _, tt := range tests {
		a := For(named(t, tt.tower)).Assign(line(t, tt.apart, tt.strokes))
		if got := reasons(a); got != tt.want {
			t.Errorf("%s (%s): %s: %q, want %q", tt.name, tt.source, tt.strokes, got, tt.want)
		}
	}
}

// TestPreferences: what a player would do where several ways can be played.
// Common practice, no source.
func TestPreferences(t *testing.T) {
	tests := []struct {
		name    string
		apart   float64
		strokes string
		want    string // a letter each: l, r hands, L, R feet
	}{
		{"a slow line stays in the right hand", 0.5, "72 74 76 77 79 77 76 74", "rrrrrrrr"},
		{"a fast line is shared", 0.12, "72 74 76 77 79 77 76 74", "rlrlrlrl"},
		{"the feet take turns", 0.4, "48p 50p 52p 53p", "LRLR"},
		{"one foot repeats a pedal", 0.6, "50p 50p 50p", "LLL"},
		{"a lone high pedal", 1, "72p", "R"},
		{"a line over chords", 0.5, "60+64+72 74 60+64+72 76", "llrrllrr"},
		{"a key of hand and foot", 1, "52p+52+60", "LLr"},
	}
	for _, tt := range tests {
		strokes := line(t, tt.apart, tt.strokes)
		got := letters(For(named(t, "47")).Assign(strokes).Limbs)
		if got != tt.want {
			t.Errorf("%s: %s by %s, want %s", tt.name, tt.strokes, got, tt.want)
		}
	}
}

func letters(limbs []Limb) string {
	text := ""
	for _, l := range limbs {
		text += string("-lrLR"[l])
	}
	return text
}

// TestWants: a wish is granted where it costs little, and not where it makes
// something impossible.
func TestWants(t *testing.T) {
	player := For(named(t, "47"))
	strokes := line(t, 0.5, "72 74 76")
	for i := range strokes {
		strokes[i].Wants = LeftHand
	}
	if got := letters(player.Assign(strokes).Limbs); got != "lll" {
		t.Errorf("a slow line for the left hand is played by %s", got)
	}
	strokes = line(t, 0.1, "72 84")
	strokes[0].Wants, strokes[1].Wants = LeftHand, LeftHand
	a := player.Assign(strokes)
	if !a.Playable() {
		t.Errorf("a wish makes a quick octave impossible: %v", a.Problems)
	}
}

// TestProblem: the numbers and the strokes of a problem.
func TestProblem(t *testing.T) {
	tower := named(t, "47")
	a := For(tower).Assign(line(t, 0.2, "60 48p 48p"))
	want := []Problem{{
		Reason: Repeated, Limb: LeftFoot, Pedals: true, Strokes: []int{1, 2}, Value: 0.2, Limit: tower.RepeatTime(48),
	}}
	if !reflect.DeepEqual(a.Problems, want) {
		t.Errorf("%+v, want %+v", a.Problems, want)
	}
}

// TestOrder: strokes in any order get the same limbs.
func TestOrder(t *testing.T) {
	player := For(named(t, "47"))
	strokes := line(t, 0.3, "60+64 62p 67 69+48p 71 72+60")
	forward := player.Assign(strokes)
	n := len(strokes)
	turned := make([]Stroke, n)
	for i, s := range strokes {
		turned[n-1-i] = s
	}
	back := player.Assign(turned)
	for i := range strokes {
		if forward.Limbs[i] != back.Limbs[n-1-i] {
			t.Errorf("stroke %d is for the %s, or turned for the %s", i, forward.Limbs[i], back.Limbs[n-1-i])
		}
	}
}

// TestNothing: no strokes, a tower without pedals, and keys that no keyboard
// has.
func TestNothing(t *testing.T) {
	tower := *named(t, "23")
	tower.Pedals = instrument.Compass{}
	player := For(&tower)
	if a := player.Assign(nil); len(a.Limbs) != 0 || !a.Playable() {
		t.Errorf("nothing to play gives %v", a)
	}
	a := player.Assign([]Stroke{{Key: 60}, {Key: 60, Pedal: true}, {Key: -5}, {Key: 4000}})
	if got := letters(a.Limbs) + " " + reasons(a); got != "r--- no key, no key, no key" {
		t.Errorf("without pedals: %s", got)
	}
}

// TestCrowd: more strokes than anyone can play still get an answer, in a time
// that grows with their number.
func TestCrowd(t *testing.T) {
	var strokes []Stroke
	for i := range 3000 {
		strokes = append(strokes, Stroke{At: float64(i/5) * 0.005, Key: 48 + (i*7)%49})
	}
	if a := For(named(t, "47")).Assign(strokes); a.Playable() {
		t.Error("a thousand strokes a second can be played")
	}
}

func BenchmarkAssign(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var strokes []Stroke
			for i := range n / 4 {
				at := float64(i) * 0.25
				strokes = append(strokes, Stroke{At: at, Key: 60 + i*5%7}, Stroke{At: at, Key: 72 + i*3%12},
					Stroke{At: at + 0.125, Key: 74 + i%5}, Stroke{At: at, Key: 52 + i*4%9, Pedal: true})
			}
			player := For(named(b, "47"))
			for b.Loop() {
				player.Assign(strokes)
			}
		})
	}
}
