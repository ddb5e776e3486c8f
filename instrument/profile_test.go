package instrument

import (
	"slices"
	"testing"
)

// TestPublishedProfiles holds every embedded profile against what was
// published.
func TestPublishedProfiles(t *testing.T) {
	tests := []struct {
		name           string
		bells          int
		manual, pedals string
		source         string
	}{
		{"23", 23, "C3 D3 E3–C5", "C3 D3 E3–G4", "GCNA, \"A Musical Instrument\": two octaves, low C# and D# not installed; pedals: common practice, no source"},
		{"35", 35, "C3 D3 E3–C6", "C3 D3 E3–C5", "GCNA range code 3; pedals: GCNA rule"},
		{"35-short", 35, "C3 D3 E3–C6", "C3 D3 E3–G4", "GCNA range code 3; pedals: GCNA and Flemish guide, one and a half octaves"},
		{"37", 37, "C3 D3 E3–D6", "C3 D3 E3–C5", "Flemish Carillon Association, composing guide; pedals: GCNA rule"},
		{"37-short", 37, "C3 D3 E3–D6", "C3 D3 E3–G4", "Flemish Carillon Association, composing guide"},
		{"47", 47, "C3 D3 E3–C7", "C3 D3 E3–C5", "GCNA Johan Franco Committee, contest rules 2016/17"},
		{"47-short", 47, "C3 D3 E3–C7", "C3 D3 E3–G4", "Flemish Carillon Association, composing guide"},
		{"48", 48, "C3 D3–C7", "C3 D3–C5", "TowerBells.org, \"Keyboard Ranges\": one semitone missing from C"},
		{"48-short", 48, "C3 D3–C7", "C3 D3–G4", "TowerBells.org, \"Keyboard Ranges\""},
		{"49", 49, "A#2 C3 D3–C7", "A#2 C3 D3–C5", "Flemish Carillon Association, composing guide: Bb C D, chromatic to C"},
		{"49-short", 49, "A#2 C3 D3–C7", "A#2 C3 D3–G4", "Flemish Carillon Association, composing guide"},
		{"53", 53, "G2 A2–C7", "G2 A2–C5", "TowerBells.org, \"Carillon keyboard ranges\": from G; \"Keyboard Ranges\": one semitone missing"},
		{"53-short", 53, "G2 A2–C7", "G2 A2–G4", "TowerBells.org, as 53"},
		{"54", 54, "G2–C7", "G2–C5", "TowerBells.org, \"Carillon keyboard ranges\": from G; pedals: GCNA, up to two and a half octaves"},
		{"54-short", 54, "G2–C7", "G2–G4", "TowerBells.org, as 54"},
		{"61", 61, "G2–G7", "G2–C5", "Flemish Carillon Association, composing guide: from G, five octaves"},
		{"61-short", 61, "G2–G7", "G2–G4", "Flemish Carillon Association, composing guide"},
	}
	for i, tt := range tests {
		if names := Names(); i >= len(names) || names[i] != tt.name {
			t.Fatalf("the profiles are %v", names)
		}
		tower := named(t, tt.name)
		if tower.Name != tt.name {
			t.Errorf("%s is called %q", tt.name, tower.Name)
		}
		if n := tower.Manual.Len(); n != tt.bells {
			t.Errorf("%s has %d bells (%s)", tt.name, n, tt.source)
		}
		if got := tower.Manual.String(); got != tt.manual {
			t.Errorf("%s has the manual %s, want %s (%s)", tt.name, got, tt.manual, tt.source)
		}
		if got := tower.Pedals.String(); got != tt.pedals {
			t.Errorf("%s has the pedals %s, want %s (%s)", tt.name, got, tt.pedals, tt.source)
		}
	}
	if len(Names()) != len(tests) {
		t.Errorf("profiles without a test: %v", Names()[len(tests):])
	}
}

// TestContestRules spells the default profile out in MIDI numbers (GCNA Johan
// Franco Committee, composition contest rules 2016/17).
func TestContestRules(t *testing.T) {
	tower := named(t, Default)
	manual, pedals := []int{48, 50}, []int{48, 50}
	for key := 52; key <= 96; key++ {
		manual = append(manual, key)
		if key <= 72 {
			pedals = append(pedals, key)
		}
	}
	if got := slices.Collect(tower.Manual.Keys()); !slices.Equal(got, manual) {
		t.Errorf("manual %v", got)
	}
	if got := slices.Collect(tower.Pedals.Keys()); !slices.Equal(got, pedals) {
		t.Errorf("pedals %v", got)
	}
}

// TestPedalsPullKeys: the lowest pedal is the lowest key, and every pedal has
// its key (TowerBells.org, "Keyboard Ranges"; A. Lehr 2005, p. 85).
func TestPedalsPullKeys(t *testing.T) {
	for _, name := range Names() {
		tower := named(t, name)
		if tower.Pedals.Low() != tower.Manual.Low() {
			t.Errorf("%s: pedals from %d, manual from %d", name, tower.Pedals.Low(), tower.Manual.Low())
		}
		if odd := tower.Pedals.without(tower.Manual); odd.Len() > 0 {
			t.Errorf("%s: pedals %v have no key", name, odd)
		}
	}
}

// TestKeyboards: an octave, a fourth and a pedal tenth in mm (L. Janssens,
// "Dreaming of a world standard", WCF, c. 2001).
func TestKeyboards(t *testing.T) {
	tests := []struct {
		name                  string
		octave, fourth, tenth float64
	}{
		{"47-short", 322, 138, 765},
		{"47", 355.6, 152.4, 800.1},
	}
	for _, tt := range tests {
		p := named(t, tt.name).Player
		if got := p.ManualDistance(72, 60); !near(got, tt.octave, 1e-9) {
			t.Errorf("%s: an octave is %v mm", tt.name, got)
		}
		if got := p.ManualDistance(60, 65); !near(got, tt.fourth, 1e-9) {
			t.Errorf("%s: a fourth is %v mm", tt.name, got)
		}
		if got := p.PedalDistance(48, 64); !near(got, tt.tenth, 1e-9) {
			t.Errorf("%s: a tenth of pedals is %v mm", tt.name, got)
		}
	}
}

// TestTransposition: a nil transposition sounds an octave above what is written
// (TowerBells.org; masses of towers); -4 and +5 are of towers (a tower notice;
// WCF, notice of Goes: keys c1 and up on bells f1 and up).
func TestTransposition(t *testing.T) {
	tests := []struct{ transposition, sounds int }{{0, 60}, {-4, 56}, {5, 65}}
	for _, tt := range tests {
		tower := named(t, Default)
		tower.Transposition = tt.transposition
		if got := tower.Bell(48).Sounds; got != tt.sounds {
			t.Errorf("transposed by %d, key C3 sounds %d, want %d", tt.transposition, got, tt.sounds)
		}
		if tower.Manual != named(t, Default).Manual {
			t.Error("the transposition changes what is written")
		}
	}
}

func TestNamedUnknown(t *testing.T) {
	for _, name := range []string{"", "46", "../profiles/47", "47.yaml"} {
		_, err := Named(name)
		if err == nil {
			t.Errorf("there is a tower %q", name)
			continue
		}
		want := "no tower is named \"" + name + "\"; there are 23, 35, 35-short, "
		if got := err.Error(); len(got) < len(want) || got[:len(want)] != want {
			t.Errorf("%q: %v", name, err)
		}
	}
}

func named(t *testing.T, name string) *Tower {
	t.Helper()
	tower, err := Named(name)
	if err != nil {
		t.Fatal(err)
	}
	return tower
}

// near tells whether a value is at most a part of another one away from it.
func near(got, want, part float64) bool {
	d := got - want
	return d <= part*want && -d <= part*want
}
