package instrument

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"undersong/instrument/acoustic"
)

// The Wellington National War Memorial Carillon (NZHistory, Ministry for
// Culture and Heritage): strike note and kg.
const wellington = `
	G#7 4.0 G7 4.5 F#7 5.0 F7 5.0 E7 5.0 D#7 5.0 D7 5.5 C#7 7.0 C7 9.0 B6 10 A#6 11 A6 14 G#6 16 G6 21 F#6 27 F6 30
	E6 38 D#6 44 D6 46 C#6 53.5 C6 55 B5 66 A#5 74 A5 87 G#5 103 G5 129 F#5 147 F5 182 E5 219 D#5 232 D5 252.5
	C#5 266.5 C5 302 B4 366 A#4 417 D#4 1459 A#3 3177 A3 4143.5 F3 9278 D3 12475`

// The twelve bells of 2019 of Saint-Gingolph (the municipality's page on its
// carillon): strike note and kg; strike note and mm. The page counts octaves in
// the French way, where middle C is do 3.
const (
	saintGingolph   = `C6 65 D6 55 E6 43 F6 42 F#6 39 G6 32 A6 26 A#6 25 B6 24 C7 22 D7 21 E7 20`
	saintGingolphMM = `C6 456 D6 427 E6 390 F6 388 F#6 365 G6 350 A6 322 A#6 308 B6 306 C7 284 D7 269 E7 257`
)

type measured struct {
	sounds int
	value  float64
}

func table(t *testing.T, text string) (list []measured) {
	t.Helper()
	words := strings.Fields(text)
	for ; len(words) > 0; words = words[2:] {
		c, err := parseCompass(words[0])
		if err != nil {
			t.Fatal(err)
		}
		value, err := strconv.ParseFloat(words[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, measured{c.Low(), value})
	}
	return list
}

// worst is the largest deviation of a quantity of bells from a table, of all
// bells of a tower whose small bells are cast like that.
func worst(t *testing.T, text string, smallBells float64, quantity func(Bell) float64) float64 {
	t.Helper()
	tower := named(t, Default)
	tower.Casting.SmallBells = smallBells
	most := 0.0
	for _, m := range table(t, text) {
		got := quantity(tower.Bell(m.sounds - tower.SoundingOffset()))
		most = max(most, math.Abs(got/m.value-1))
	}
	return most
}

func TestMass(t *testing.T) {
	tests := []struct {
		name, table string
		bells       int
		smallBells  float64
	}{
		{"Wellington", wellington, 40, 1},
		{"Saint-Gingolph", saintGingolph, 12, 2},
	}
	for _, tt := range tests {
		if n := len(table(t, tt.table)); n != tt.bells {
			t.Errorf("%s: %d bells, want %d", tt.name, n, tt.bells)
		}
		got := worst(t, tt.table, tt.smallBells, func(b Bell) float64 { return b.Mass })
		t.Logf("%s: %d bells, at most %.1f %% from the published masses", tt.name, tt.bells, 100*got)
		if got > 0.2 {
			t.Errorf("%s: a mass is %.0f %% from the published one, want at most 20 %%", tt.name, 100*got)
		}
	}
}

func TestDiameter(t *testing.T) {
	got := worst(t, saintGingolphMM, 2, func(b Bell) float64 { return 1000 * b.Diameter })
	t.Logf("Saint-Gingolph: at most %.1f %% from the published diameters", 100*got)
	if got > 0.06 {
		t.Errorf("a diameter is %.0f %% from the published one, want at most 6 %%", 100*got)
	}
}

// TestSizeScaling: the size of large bells goes with 1/f, that of small ones
// with f^-n, n under 1 (Rossing & Perrin, "Vibrations of Bells", Applied
// Acoustics 20, 1987); n is as small as 0.43 between the highest two of
// Saint-Gingolph.
func TestSizeScaling(t *testing.T) {
	tower := named(t, Default)
	exponent := func(key int) float64 {
		return math.Log2(tower.Bell(key).Diameter / tower.Bell(key+12).Diameter)
	}
	if n := exponent(40); !near(n, 1, 1e-9) {
		t.Errorf("large bells scale with f^-%.3f", n)
	}
	for key := 60; key <= 84; key += 12 {
		if n := exponent(key); n < 0.4 || n >= 1 {
			t.Errorf("bells above key %d scale with f^-%.3f", key, n)
		}
	}
}

// TestMassConstant: mass times frequency cubed lies between 3.6e10 and 4.7e10
// (tower notices), and an octave's error does not.
func TestMassConstant(t *testing.T) {
	constant := func(kg float64, sounds int) float64 {
		return kg * math.Pow(acoustic.Frequency(sounds), 3)
	}
	tests := []struct {
		source string
		kg     float64
		sounds int
	}{
		{"a tower notice: nil transposition, low C of 2200 kg", 2200, 60},
		{"a tower notice: transposition -4, low C of 4210 kg", 4210, 56},
		{"Peace Tower facts: bourdon of 10 090 kg; that it sounds E3 is from memory", 10090, 52},
		{"Perrin, Charnley & DePont 1983, in Whyte, Perrin & Halkon 2024: 214 kg, 586 Hz", 214, 74},
	}
	within := func(k float64) bool { return k >= 3.6e10 && k <= 4.7e10 }
	for _, tt := range tests {
		if k := constant(tt.kg, tt.sounds); !within(k) {
			t.Errorf("%s: %.3g", tt.source, k)
		}
		for _, octave := range []int{-12, 12} {
			if k := constant(tt.kg, tt.sounds+octave); within(k) {
				t.Errorf("%s: fits an octave away as well: %.3g", tt.source, k)
			}
		}
	}
	if !within(massLaw) {
		t.Errorf("the constant of the law is %.3g", massLaw)
	}
}

// TestBourdon: the lowest bell has the mass that is given, on light towers as
// well, and it makes all others heavier.
func TestBourdon(t *testing.T) {
	for _, transposition := range []int{-5, 0, 15} {
		tower := named(t, Default)
		tower.Transposition = transposition
		low, high := tower.Bell(48).Mass, tower.Bell(90).Mass
		tower.Casting.Bourdon = 1.5 * low
		if got := tower.Bell(48).Mass; !near(got, 1.5*low, 1e-9) {
			t.Errorf("transposed by %d, a bourdon of %.0f kg has %.0f", transposition, 1.5*low, got)
		}
		if got := tower.Bell(90).Mass; !near(got, 1.5*high, 1e-9) {
			t.Errorf("transposed by %d, a bell of %.1f kg under a heavier bourdon has %.1f", transposition, high, got)
		}
	}
}

// TestLargestAndSmallest: one large instrument spans 12 000 lb to 20 lb, and
// its smallest bell is silent about a second after the stroke while the
// largest still rings (common practice, no source).
func TestLargestAndSmallest(t *testing.T) {
	const pound = 0.45359237
	tower := named(t, "53")
	large, small := tower.Bell(tower.Manual.Low()), tower.Bell(tower.Manual.High())
	t.Logf("53 bells: %.0f to %.1f kg, smallest rings %.1f to %.1f s, largest %.0f to %.0f s",
		large.Mass, small.Mass, small.Ring.Least, small.Ring.Most, large.Ring.Least, large.Ring.Most)
	if !withinFactorTwo(large.Mass, 12000*pound) {
		t.Errorf("the largest bell has %.0f kg, want 12 000 lb within a factor of two", large.Mass)
	}
	if !withinFactorTwo(small.Mass, 20*pound) {
		t.Errorf("the smallest bell has %.1f kg, want 20 lb within a factor of two", small.Mass)
	}
	if !withinFactorTwo(small.Ring.Middle(), 1) {
		t.Errorf("the smallest bell rings %.1f s, want a second within a factor of two", small.Ring.Middle())
	}
	if large.Ring.Least < small.Ring.Most {
		t.Error("the largest bell may be silent before the smallest")
	}
}

func withinFactorTwo(a, b float64) bool { return a <= 2*b && b <= 2*a }

// TestRing: measured times lie within the range.
func TestRing(t *testing.T) {
	tower := named(t, Default)
	tests := []struct {
		source          string
		hz, least, most float64
	}{
		{"Woodhouse et al. 2012: 2 to 5 s for partials of 600 to 1300 Hz", 600, 5, 5},
		{"Woodhouse et al. 2012: 2 to 5 s for partials of 600 to 1300 Hz", 1300, 2, 2},
		{"Jensenius 2026: 17 s for a hum of 475 Hz", 475, 17, 17},
	}
	const strike = 262 // a large bell, on which casting makes no difference
	for _, tt := range tests {
		r := tower.ring(strike, tt.hz)
		if r.Least > tt.least*(1+1e-9) || r.Most < tt.most*(1-1e-9) {
			t.Errorf("%.0f Hz rings %.1f to %.1f s (%s)", tt.hz, r.Least, r.Most, tt.source)
		}
	}
}

// TestHigherIsShorterAndSofter holds for every profile and casting: "lower
// bells ring longer", "lower bells are naturally louder" (Rensselaer,
// "Suggestions for Composing for Carillon"; R. H. Johnson).
func TestHigherIsShorterAndSofter(t *testing.T) {
	for _, name := range Names() {
		for _, smallBells := range []float64{0, 0.5, 1, 1.5, 2} {
			for _, transposition := range []int{-12, 0, 12} {
				tower := named(t, name)
				tower.Casting.SmallBells = smallBells
				tower.Transposition = transposition
				checkFalling(t, tower)
			}
		}
	}
}

func checkFalling(t *testing.T, tower *Tower) {
	t.Helper()
	ring, level, diameter := math.Inf(1), math.Inf(1), math.Inf(1)
	for b := range tower.Bells() {
		l := tower.Level(b.Key, 0)
		if b.Ring.Most > ring || l > level || b.Diameter > diameter {
			t.Errorf("%s, small bells %v, transposed %d: key %d rings longer, louder or is wider than the one below",
				tower.Name, tower.Casting.SmallBells, tower.Transposition, b.Key)
		}
		ring, level, diameter = b.Ring.Most, l, b.Diameter
	}
}
