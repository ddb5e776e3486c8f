package instrument

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

func read(t *testing.T, text string) *Tower {
	t.Helper()
	tower, err := Read(strings.NewReader(text), "our.yaml")
	if err != nil {
		t.Fatalf("%s\n%v", text, err)
	}
	return tower
}

// problems is what is wrong with a file, without its name.
func problems(t *testing.T, text string) (list []string) {
	t.Helper()
	_, err := Read(strings.NewReader(text), "our.yaml")
	var ps Problems
	if err != nil && !errors.As(err, &ps) {
		t.Fatalf("%s\n%v", text, err)
	}
	for _, p := range ps {
		list = append(list, strings.TrimPrefix(p.Error(), "our.yaml:"))
	}
	return list
}

// TestFiveLines is what a player has to write.
func TestFiveLines(t *testing.T) {
	tower := read(t, `
name: St. Example
missing: F#3 G#6
pedals: C3-G4
transposition: -4
bourdon: 4210
small-bells: 0.5
`)
	if tower.Name != "St. Example" || tower.Transposition != -4 || tower.SoundingOffset() != 8 {
		t.Errorf("%q transposes by %d", tower.Name, tower.Transposition)
	}
	if got := tower.Manual.String(); got != "C3 D3 E3–F3 G3–G6 A6–C7" {
		t.Errorf("manual %s", got)
	}
	if got := tower.Pedals.String(); got != "C3 D3 E3–F3 G3–G4" {
		t.Errorf("pedals %s", got)
	}
	if got := tower.Bell(48).Mass; !near(got, 4210, 1e-9) {
		t.Errorf("the bourdon has %v kg", got)
	}
	if got := tower.Casting.SmallBells; got != 0.5 {
		t.Errorf("small bells %v", got)
	}
	if tower.Player != named(t, Default).Player {
		t.Errorf("player %+v", tower.Player)
	}
}

func TestFrom(t *testing.T) {
	tests := []struct{ text, manual, pedals string }{
		{"", "C3 D3 E3–C7", "C3 D3 E3–C5"},
		{"# nothing yet", "C3 D3 E3–C7", "C3 D3 E3–C5"},
		{"from: 61", "G2–G7", "G2–C5"},
		{"from: 23", "C3 D3 E3–C5", "C3 D3 E3–G4"},
		{"from: 47-short", "C3 D3 E3–C7", "C3 D3 E3–G4"},
		{"missing: C#4\nfrom: '54'", "G2–C4 D4–C7", "G2–C4 D4–C5"},
		{"keys: Bb2 C3-C6", "A#2 C3–C6", "A#2 C3–C5"}, // pedals follow the lowest key
		{"keys: [Bb2, C3-E3]", "A#2 C3–E3", "A#2 C3–E3"},
		{"keys: C6-E7", "C6–E7", ""},
		{"pedals: none", "C3 D3 E3–C7", ""},
		{"pedals: E3-A3", "C3 D3 E3–C7", "E3–A3"},
		{"missing: none", "C3 D3 E3–C7", "C3 D3 E3–C5"},
		{"\ufefffrom: 23\r\nmissing: F3, G#3\r\n", "C3 D3 E3 F#3–G3 A3–C5", "C3 D3 E3 F#3–G3 A3–G4"},
	}
	for _, tt := range tests {
		tower := read(t, tt.text)
		if got := tower.Manual.String(); got != tt.manual {
			t.Errorf("%q: manual %s, want %s", tt.text, got, tt.manual)
		}
		if got := tower.Pedals.String(); got != tt.pedals {
			t.Errorf("%q: pedals %s, want %s", tt.text, got, tt.pedals)
		}
		if tower.Name != "our" {
			t.Errorf("%q: called %q", tt.text, tower.Name)
		}
	}
}

// TestWrongFields puts wrong values into every field, one at a time.
func TestWrongFields(t *testing.T) {
	wrong := map[string][]string{
		"from":            {"46", "", "none", "../47"},
		"name":            {"", "|\n  two\n  lines", "{a: b}"},
		"keys":            {"", "none", "H3", "C3 D", "C5-C4", "B9", "48"},
		"missing":         {"", "X", "C#3", "C8"},
		"pedals":          {"", "G4", "C3-", "C#3-G4", "C3-C8", "two octaves"},
		"transposition":   {"-13", "25", "1.5", "", "nil", "true"},
		"bourdon":         {"-1", "30001", "heavy", "1000", "9500", ".nan"},
		"small-bells":     {"-0.1", "2.1", "weak", ".inf"},
		"ring":            {"0.2", "5", "long"},
		"dynamics":        {"0", "13", "[5, 5, 5]"},
		"low-partials":    {"", "[0.5]", "[0.5 1, 0.4 1]", "[0 1]", "[21 1]", "[0.5 -1]", "[a b]"},
		"high-partials":   {"", "0.5 1 1", "[[1, 101]]", "[{a: b}]"},
		"key-spacing":     {"29", "71", "46 mm"},
		"pedal-spacing":   {"59", "121", "wide"},
		"hand-notes":      {"0", "4", "one", "3"},
		"slow-hand-notes": {"0", "5", "0.5"},
		"hand-reach":      {"-1", "501", "a fourth"},
		"hands-reach":     {"299", "2001", "far"},
		"hand-leap":       {"-1", "2001", "octave"},
		"foot-notes":      {"-1", "3", "one"},
		"feet-reach":      {"-1", "1501", "tenth"},
		"notes":           {"1", "13", "six"},
		"hand-stroke":     {"0", "1.1", "fast"},
		"hand-speed":      {"99", "10001", "fast"},
		"foot-stroke":     {"0.01", "2", "slow"},
		"foot-speed":      {"0", "1e5", "slow"},
		"repeat":          {"0", "2.5", "slow"},
	}
	for _, f := range fields() {
		if len(wrong[f.name]) == 0 {
			t.Errorf("field %s: no wrong value is tried", f.name)
		}
		for _, value := range wrong[f.name] {
			got := problems(t, "# a comment\n\n"+f.name+": "+value+"\n")
			if len(got) != 1 || !strings.HasPrefix(got[0], "3: "+f.name+`: "`) || strings.HasSuffix(got[0], `": `) {
				t.Errorf("%s: %s: got %q", f.name, value, got)
			}
		}
	}
}

func TestMessages(t *testing.T) {
	tests := []struct{ text, want string }{
		{"transposition: 40", `1: transposition: "40": must be a whole number from -12 to 24 semitones`},
		{"hand-reach: 600", `1: hand-reach: "600": must be a number from 0 to 500 mm`},
		{"bourdon: 300", `1: bourdon: "300": must fit the pitch of the lowest bell: one of 1187 to 4747 kg sounds C4; check bourdon, transposition and keys`},
		{"bourdon: 4210\ntransposition: 8", `1: bourdon: "4210": must fit the pitch of the lowest bell: one of 297 to 1187 kg sounds G#4; check bourdon, transposition and keys`},
		{"pedals: C#3-G4", `1: pedals: "C#3-G4": must begin and end at keys of the manual (C3 D3 E3–C7), which has no C#3`},
		{"missing: C#3 F3", `1: missing: "C#3 F3": must be keys of the manual (C3 D3 E3–C7), which has no C#3`},
		{"missing: C3-C7", `1: missing: "C3-C7": must be keys of the manual (C3 D3 E3–C7), which has no C#3 D#3`},
		{"keys: C3\nmissing: C3", `2: missing: "C3": must leave the manual (C3) some bells`},
		{"keys: H3", `1: keys: "H3": "H3" is not the name of a key: write a letter, # or b, and an octave, such as C3, F#4 or Bb2 (middle C is C4)`},
		{"hand-notes: 3", `1: hand-notes: "3": must not allow a moving hand more notes (3) than a slow one (2)`},
		{"from: 61\ntransposition: 24", `2: transposition: "24": must not let the highest bell sound above G9 (MIDI 127); it would sound G10`},
		{"from: 46", `1: from: "46": no tower is named "46"; there are ` + strings.Join(Names(), ", ")},
		{"reach: 5", `1: reach: "5": is not a field; there are ` + strings.Join(fieldNames(), ", ")},
		{"notes: 5\nnotes: 5", `2: notes: "5": is in line 1 already: remove one of them`},
		{"notes: &n 5", `1: notes: "&n 5": must be a value or a list of values`},
		{"name: {a: b}", `1: name: "{a: b}": must be a value or a list of values`},
		{"pedals: G4", `1: pedals: "G4": must be the lowest and the highest pedal, such as C3-G4, or none`},
		{"pedals: C3-", `1: pedals: "C3-": "C3-" is not a run of keys: write both ends, such as C3-G4`},
		{"name: Our: tower", `1: is not YAML (mapping value is not allowed in this context): write a field, a colon and a value, and put quotes around a value with a colon in it`},
		{"name: T\xe9st", ` is not text in UTF-8: save it in that encoding`},
		{"low-partials: [0.5 1, 0.4 1]", `1: low-partials: "0.5 1 0.4 1": must be lines of a ratio from 0.1 to 20 and an amplitude from 0 to 100, the ratios rising, one amplitude over 0; 0.4 1 is not`},
		{"[1, 2]", `1: must be lines of a field, a colon and a value`},
		{"some words", `1: must be lines of a field, a colon and a value`},
		{"name: [", `1: is not YAML (sequence end token ']' not found): write a field, a colon and a value, and put quotes around a value with a colon in it`},
		{strings.Repeat("# long\n", sizeLimit/7+1), ` is too long for the description of a tower`},
	}
	for _, tt := range tests {
		if got := problems(t, tt.text); len(got) != 1 || got[0] != tt.want {
			t.Errorf("%.60q:\n got %q\nwant %q", tt.text, got, tt.want)
		}
	}
}

// TestAllProblems: a player sees everything at once, in the order of lines.
func TestAllProblems(t *testing.T) {
	got := problems(t, `keys: C3-C7
ring: 9
bels: 47
missing: C8
notes: none
bourdon: 1
hand-notes: 3
`)
	fields := []string{"2: ring", "3: bels", "4: missing", "5: notes", "7: hand-notes"}
	if len(got) != len(fields) {
		t.Fatalf("got %d problems:\n%s", len(got), strings.Join(got, "\n"))
	}
	for i, want := range fields {
		if !strings.HasPrefix(got[i], want+": ") {
			t.Errorf("problem %d is %q, want one of %s", i, got[i], want)
		}
	}
}

func TestReadError(t *testing.T) {
	broken := errors.New("broken")
	_, err := Read(iotest.ErrReader(broken), "our.yaml")
	if !errors.Is(err, broken) || !strings.HasPrefix(err.Error(), "our.yaml: ") {
		t.Errorf("got %v", err)
	}
}

// TestRootProfile: the profile that all others start from has every field but
// the two that it cannot have.
func TestRootProfile(t *testing.T) {
	d := draft{lines: map[string]line{}}
	d.scan(rootProfile())
	var missing []string
	for _, name := range fieldNames() {
		if !d.has(name) {
			missing = append(missing, name)
		}
	}
	if want := []string{"from", "name"}; !slices.Equal(missing, want) {
		t.Errorf("profile %s has no %v, want no %v", Default, missing, want)
	}
}

// TestTemplate: the file to fill in is right as it is, and so is every line of
// it that a player may uncomment.
func TestTemplate(t *testing.T) {
	template := Template()
	tower := read(t, template)
	tower.Name = Default
	if got, want := fmt.Sprint(*tower), fmt.Sprint(*named(t, Default)); got != want {
		t.Errorf("the template is\n%s\nand not\n%s", got, want)
	}
	var all []string
	for line := range strings.Lines(template) {
		if strings.HasPrefix(line, "#  - ") || strings.HasPrefix(line, "#") && !strings.HasPrefix(line, "# ") {
			line = line[1:]
		}
		all = append(all, line)
	}
	tower = read(t, strings.Join(all, ""))
	tower.Name = Default
	if got, want := fmt.Sprint(*tower), fmt.Sprint(*named(t, Default)); got != want {
		t.Errorf("with all lines the template is\n%s\nand not\n%s", got, want)
	}
	for _, f := range fields() {
		if allowed := strings.TrimPrefix(f.want, "must be "); !strings.Contains(template, "# Allowed: "+allowed+".\n#"+f.name+":") &&
			f.name != "name" && f.name != "from" {
			t.Errorf("the template does not say what %s allows: %s", f.name, allowed)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(Template())
	f.Add("keys: C3-C5\nmissing: [C4]\npedals: none\n")
	f.Add("low-partials:\n  - 0.5 1\n")
	f.Fuzz(func(t *testing.T, text string) {
		tower, err := Read(strings.NewReader(text), "our.yaml")
		switch {
		case err == nil && tower.Manual.Len() == 0:
			t.Error("a tower without bells")
		case err != nil && err.Error() == "":
			t.Error("an error that says nothing")
		}
	})
}
