package playing

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestThin(t *testing.T) {
	tests := []struct {
		name    string
		apart   float64
		strokes string
		loss    []float64
		want    []int
	}{
		{"nothing to do", 1, "60+64 62+65", nil, nil},
		{"five for two hands", 1, "60+64+67+72+76", []float64{3, 2, 1, 3, 4}, []int{2}},
		{"a note without a key", 1, "49p 60", nil, []int{0}},
		{"a bell repeated too soon", 0.2, "48p 48p", nil, []int{1}},
		{"the melody stays", 0.2, "48p 48p", []float64{1, 9}, []int{0}},
		{"chords of a moving hand", 0.35, "60+64+72 62+65+74", []float64{1, 5, 9, 1, 5, 9}, []int{0, 3}},
	}
	for _, tt := range tests {
		loss := func(i int) float64 {
			if tt.loss == nil {
				return 1
			}
			return tt.loss[i]
		}
		got, a := For(named(t, "47")).Thin(line(t, tt.apart, tt.strokes), loss)
		if !slices.Equal(got, tt.want) || !a.Playable() {
			t.Errorf("%s: left out %v, want %v; problems %v", tt.name, got, tt.want, a.Problems)
		}
	}
}

// TestThinPlayable: what is left can be played by the rules, and nothing is
// left out of what can be played.
func TestThinPlayable(t *testing.T) {
	r := rules{named(t, "47")}
	player := For(r.tower)
	rapid.Check(t, func(t *rapid.T) {
		strokes := passage(t)
		out, a := player.Thin(strokes, func(i int) float64 { return float64(strokes[i].Key) })
		var rest []Stroke
		var limbs []Limb
		for i, s := range strokes {
			if !slices.Contains(out, i) {
				rest, limbs = append(rest, s), append(limbs, a.Limbs[i])
			}
		}
		if why := r.broken(rest, limbs); why != "" || !a.Playable() {
			t.Fatalf("%v without %v: %s %v", strokes, out, why, a.Problems)
		}
		if len(out) > 0 && r.canPlay(strokes) {
			t.Fatalf("%v can be played, but %v was left out", strokes, out)
		}
	})
}
