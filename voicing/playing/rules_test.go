package playing

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"undersong/instrument"
)

// rules holds an assignment to what is published, and where nothing is, to
// the tower's own figures, limb by limb and without any search. It is the
// measure for Assign and shares no code with it.
type rules struct {
	tower *instrument.Tower
}

// hit is a limb's stroke: the keys that it strikes at one time.
type hit struct {
	at   float64
	keys []int
}

func (r rules) broken(strokes []Stroke, limbs []Limb) string {
	for _, check := range []func([]Stroke, []Limb) string{r.keys, r.oneLimb, r.together, r.limbs, r.bells} {
		if why := check(strokes, limbs); why != "" {
			return why
		}
	}
	return ""
}

func (r rules) keys(strokes []Stroke, limbs []Limb) string {
	for i, s := range strokes {
		foot := limbs[i] == LeftFoot || limbs[i] == RightFoot
		switch {
		case s.Pedal && (!r.tower.Pedals.Has(s.Key) || !foot):
			return "a pedal that is not there, or not for a foot"
		case !s.Pedal && !r.tower.Manual.Has(s.Key):
			return "a key that is not there"
		}
	}
	return ""
}

// oneLimb: hand and foot on one key are one stroke, the foot's (TowerBells.org,
// "Keyboard Ranges"; A. Lehr 2005, p. 85).
func (r rules) oneLimb(strokes []Stroke, limbs []Limb) string {
	for i, s := range strokes {
		foot := limbs[i] == LeftFoot || limbs[i] == RightFoot
		doubled := false
		for j, o := range strokes {
			if o.At == s.At && o.Key == s.Key {
				doubled = doubled || o.Pedal
				if limbs[i] != limbs[j] {
					return "one key, two limbs"
				}
			}
		}
		if foot != (s.Pedal || doubled) {
			return "a foot on the manual"
		}
	}
	return ""
}

// at gives the keys that a limb strikes, each once, the lowest first.
func at(strokes []Stroke, limbs []Limb, limb Limb, time float64) []int {
	var keys []int
	for i, s := range strokes {
		if s.At == time && limbs[i] == limb {
			keys = append(keys, s.Key)
		}
	}
	slices.Sort(keys)
	return slices.Compact(keys)
}

func times(strokes []Stroke) []float64 {
	var all []float64
	for _, s := range strokes {
		all = append(all, s.At)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func (r rules) together(strokes []Stroke, limbs []Limb) string {
	p := r.tower.Player
	for _, t := range times(strokes) {
		lh, rh := at(strokes, limbs, LeftHand, t), at(strokes, limbs, RightHand, t)
		lf, rf := at(strokes, limbs, LeftFoot, t), at(strokes, limbs, RightFoot, t)
		switch {
		// City of Mechelen; Karlskirche Kassel: six.
		case len(lh)+len(rh)+len(lf)+len(rf) > p.Notes:
			return "too many notes"
		// City of Mechelen: one pedal per foot.
		case len(lf) > p.FootNotes || len(rf) > p.FootNotes:
			return "several pedals in a foot"
		case crossed(lh, rh) || crossed(lf, rf):
			return "crossed" // the project's own rule
		// Arts at Michigan, "Arranging for the Carillon", 2022: beyond two
		// octaves between the hands, and a tenth between the feet, it is hard.
		case spread(p.ManualDistance, lh, rh) > p.HandsReach:
			return "hands too far apart"
		case spread(p.PedalDistance, lf, rf) > p.FeetReach:
			return "feet too far apart"
		}
	}
	return ""
}

func crossed(left, right []int) bool {
	return len(left) > 0 && len(right) > 0 && slices.Max(left) > slices.Min(right)
}

// spread is how far two limbs that both strike are from each other, from
// outer key to outer key.
func spread(distance func(a, b int) float64, left, right []int) float64 {
	if len(left) == 0 || len(right) == 0 {
		return 0
	}
	all := slices.Concat(left, right)
	return distance(slices.Min(all), slices.Max(all))
}

func (r rules) limbs(strokes []Stroke, limbs []Limb) string {
	p := r.tower.Player
	for _, limb := range []Limb{LeftHand, RightHand, LeftFoot, RightFoot} {
		var line []hit
		for _, t := range times(strokes) {
			if keys := at(strokes, limbs, limb, t); len(keys) > 0 {
				line = append(line, hit{t, keys})
			}
		}
		stroke, speed, distance := p.HandStroke, p.HandSpeed, p.ManualDistance
		if limb == LeftFoot || limb == RightFoot {
			stroke, speed, distance = p.FootStroke, p.FootSpeed, p.PedalDistance
		} else if why := r.hand(line); why != "" {
			return why
		}
		for i := 1; i < len(line); i++ {
			way := math.Abs(middle(distance, line[i].keys) - middle(distance, line[i-1].keys))
			if line[i].at-line[i-1].at < stroke+way/speed {
				return limb.String() + " too late"
			}
		}
	}
	return ""
}

// hand: one note per hand when moving, two only in slow passages and no wider
// than a perfect fourth, a third note only exceptionally (J. Gouwens, "Playing
// the Carillon", App. B; Rensselaer; City of Mechelen).
func (r rules) hand(line []hit) string {
	p := r.tower.Player
	for i, h := range line {
		if len(h.keys) > p.SlowHandNotes {
			return "three notes in a hand"
		}
		if p.ManualDistance(h.keys[0], h.keys[len(h.keys)-1]) > p.HandReach {
			return "a hand too wide"
		}
		slow := (i == 0 || h.at-line[i-1].at >= Slow) && (i == len(line)-1 || line[i+1].at-h.at >= Slow)
		if len(h.keys) > p.HandNotes && !slow {
			return "several notes in a moving hand"
		}
	}
	return ""
}

func middle(distance func(a, b int) float64, keys []int) float64 {
	return (distance(0, keys[0]) + distance(0, keys[len(keys)-1])) / 2
}

// bells: low bells cannot be repeated fast, the clapper is slow to return
// (Gouwens, App. B).
func (r rules) bells(strokes []Stroke, _ []Limb) string {
	for _, s := range strokes {
		for _, o := range strokes {
			if s.Key == o.Key && o.At > s.At && o.At-s.At < r.tower.RepeatTime(s.Key) {
				return "a bell repeated too soon"
			}
		}
	}
	return ""
}

// canPlay tries every way to share strokes between the limbs.
func (r rules) canPlay(strokes []Stroke) bool {
	limbs := make([]Limb, len(strokes))
	var try func(i int) bool
	try = func(i int) bool {
		if i == len(strokes) {
			return r.broken(strokes, limbs) == ""
		}
		for limb := LeftHand; limb <= RightFoot; limb++ {
			if limbs[i] = limb; (limb >= LeftFoot || !strokes[i].Pedal) && try(i+1) {
				return true
			}
		}
		return false
	}
	return try(0)
}

// TestAgainstEveryWay: Assign finds a way to play exactly when there is one,
// and the way that it gives keeps to the rules.
func TestAgainstEveryWay(t *testing.T) {
	towers := map[string]rules{}
	for _, name := range []string{"23", "47", "47-short"} {
		towers[name] = rules{named(t, name)}
	}
	rapid.Check(t, func(t *rapid.T) {
		r := towers[rapid.SampledFrom([]string{"23", "47", "47-short"}).Draw(t, "tower")]
		strokes := passage(t)
		a := For(r.tower).Assign(strokes)
		if can := r.canPlay(strokes); can != a.Playable() {
			t.Fatalf("%v can be played: %v, but Assign says %v", strokes, can, a.Problems)
		}
		if a.Playable() {
			if why := r.broken(strokes, a.Limbs); why != "" {
				t.Fatalf("%v as %v: %s", strokes, a.Limbs, why)
			}
		}
	})
}

// passage is up to eight strokes close together in time and on the keyboard.
func passage(t *rapid.T) []Stroke {
	key := rapid.IntRange(52, rapid.SampledFrom([]int{60, 72, 86}).Draw(t, "highest"))
	gap := rapid.SampledFrom([]float64{0, 0, 0.1, 0.15, 0.2, 0.25, 0.3, 0.45, 0.5, 0.9})
	var strokes []Stroke
	now := 0.0
	for range rapid.IntRange(1, 7).Draw(t, "strokes") {
		now += gap.Draw(t, "gap")
		strokes = append(strokes, Stroke{At: now, Key: key.Draw(t, "key"), Pedal: rapid.IntRange(0, 3).Draw(t, "pedal") == 0})
	}
	return strokes
}

// TestLongPassages: Assign plays everything that was made up limb by limb so
// that it can be played, and keeps to the rules while it does.
func TestLongPassages(t *testing.T) {
	r := rules{named(t, "47")}
	player := For(r.tower)
	rapid.Check(t, func(t *rapid.T) {
		strokes := r.playable(t, 40)
		a := player.Assign(strokes)
		if !a.Playable() {
			t.Fatalf("%v can be played, but Assign says %v", strokes, a.Problems)
		}
		if why := r.broken(strokes, a.Limbs); why != "" {
			t.Fatalf("%v as %v: %s", strokes, a.Limbs, why)
		}
	})
}

// playable is a passage to which every stroke was added by a limb that could
// play it; those that none could are left out.
func (r rules) playable(t *rapid.T, n int) []Stroke {
	key, gap := rapid.IntRange(48, 84), rapid.SampledFrom([]float64{0, 0, 0.05, 0.1, 0.2, 0.3, 0.5})
	var strokes []Stroke
	var limbs []Limb
	now := 0.0
	for range n {
		now += gap.Draw(t, "gap")
		limb := Limb(rapid.IntRange(1, 4).Draw(t, "limb"))
		s := Stroke{At: now, Key: key.Draw(t, "key"), Pedal: limb >= LeftFoot}
		if r.broken(append(strokes, s), append(limbs, limb)) == "" {
			strokes, limbs = append(strokes, s), append(limbs, limb)
		}
	}
	return strokes
}

func named(t testing.TB, name string) *instrument.Tower {
	t.Helper()
	tower, err := instrument.Named(name)
	if err != nil {
		t.Fatal(err)
	}
	return tower
}
