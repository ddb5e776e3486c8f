package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undersong/instrument"
)

// tower runs "undersong tower" with some arguments.
func tower(stdin string, args ...string) (code int, out, errors string) {
	var stdout, stderr bytes.Buffer
	code = run(append([]string{"undersong", "tower"}, args...), strings.NewReader(stdin), &stdout, &stderr)
	return code, stdout.String(), stderr.String()
}

func towerFile(t *testing.T, text string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "our.yaml")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestTowerList(t *testing.T) {
	code, out, errors := tower("")
	if code != 0 || errors != "" {
		t.Fatalf("exit %d: %s", code, errors)
	}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	for i, name := range instrument.Names() {
		if !strings.HasPrefix(lines[i+1], name+" ") {
			t.Errorf("line %d is %q, want the tower %s", i+1, lines[i+1], name)
		}
	}
}

func TestTowerShow(t *testing.T) {
	const picture = `
        C3            C4
manual   . .   . | |   | |
        | | | | | | | | | | |
pedals   . .   . | |
        | | | | | | |
        | a key    . no key or no bell
`
	file := towerFile(t, "name: Our tower\nkeys: C3 D3 E3-F4\nmissing: F#3\npedals: C3-B3\ntransposition: -4\n")
	code, out, errors := tower("", file)
	if code != 0 || errors != "" {
		t.Fatalf("exit %d: %s", code, errors)
	}
	for _, want := range []string{
		"Our tower: 15 bells, C3 D3 E3–F3 G3–F4, and 9 pedals, C3 D3 E3–F3 G3–B3.\nKey C3 sounds G#3, key F4 sounds C#5.\n",
		picture,
		"\n   C3     G#3  4747 ",
		"the highest after",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("the output lacks %q:\n%s", want, out)
		}
	}
}

func TestTowerWithoutPedals(t *testing.T) {
	_, out, _ := tower("pedals: none", "-")
	if strings.Contains(out, "\npedals") || !strings.Contains(out, "\nmanual") {
		t.Errorf("got\n%s", out)
	}
}

func TestTowerJSON(t *testing.T) {
	code, out, errors := tower("", "--json", "47")
	if code != 0 {
		t.Fatalf("exit %d: %s", code, errors)
	}
	var report struct {
		Name           string
		Manual, Pedals []int
		SoundingOffset int `json:"sounding_offset"`
		Bells          []struct {
			Key, Sounds int
			Frequency   float64                       `json:"frequency_hz"`
			Mass        float64                       `json:"mass_kg"`
			Diameter    float64                       `json:"diameter_m"`
			Ring        struct{ Least, Most float64 } `json:"ring_s"`
		}
		Player map[string]float64
	}
	if err := json.Unmarshal([]byte(out), &report); err != nil {
		t.Fatal(err)
	}
	if report.Name != "47" || len(report.Manual) != 47 || report.Manual[0] != 48 || len(report.Pedals) != 23 || report.SoundingOffset != 12 {
		t.Errorf("%s: manual %v, pedals %v, offset %d", report.Name, report.Manual, report.Pedals, report.SoundingOffset)
	}
	if len(report.Bells) != 47 {
		t.Fatalf("%d bells", len(report.Bells))
	}
	if b := report.Bells[46]; b.Key != 96 || b.Sounds != 108 || b.Frequency < 4186 || b.Mass <= 0 || b.Diameter <= 0 || b.Ring.Least <= 0 || b.Ring.Most < b.Ring.Least {
		t.Errorf("the highest bell is %+v", b)
	}
	for _, name := range []string{
		"key_spacing_mm", "pedal_spacing_mm", "hand_notes", "slow_hand_notes", "hand_reach_mm", "hands_reach_mm", "hand_leap_mm",
		"foot_notes", "feet_reach_mm", "notes", "hand_stroke_s", "hand_speed_mm_s", "foot_stroke_s", "foot_speed_mm_s", "repeat_s",
	} {
		if report.Player[name] <= 0 {
			t.Errorf("player: %s is %v", name, report.Player[name])
		}
	}
	if len(report.Player) != 15 {
		t.Errorf("player: %v", report.Player)
	}
}

func TestTowerListJSON(t *testing.T) {
	_, out, _ := tower("", "--json")
	var reports []instrument.Report
	if err := json.Unmarshal([]byte(out), &reports); err != nil || len(reports) != len(instrument.Names()) {
		t.Errorf("%d towers, %v", len(reports), err)
	}
}

func TestTowerCheck(t *testing.T) {
	right := towerFile(t, "missing: F#3\n")
	code, out, errors := tower("", "check", right)
	if want := right + ": nothing is wrong; our has 46 bells, C3 D3 E3–F3 G3–C7, and 22 pedals, C3 D3 E3–F3 G3–C5\n"; code != 0 || out != want || errors != "" {
		t.Errorf("exit %d, %q, %q; want %q", code, out, errors, want)
	}
	wrong := towerFile(t, "missing: C#3\nnotes: 40\nbels: 3\n")
	code, out, errors = tower("", "check", wrong)
	if code != 1 || out != "" {
		t.Errorf("exit %d, %q", code, out)
	}
	for _, want := range []string{":1: missing: ", ":2: notes: \"40\": must be a whole number from 2 to 12\n", ":3: bels: "} {
		if !strings.Contains(errors, wrong+want) {
			t.Errorf("the messages lack %q:\n%s", want, errors)
		}
	}
}

// TestTowerNew: what it prints is a tower.
func TestTowerNew(t *testing.T) {
	code, out, errors := tower("", "new")
	if code != 0 || errors != "" {
		t.Fatalf("exit %d: %s", code, errors)
	}
	if code, _, errors := tower(out, "check", "-"); code != 0 {
		t.Errorf("exit %d: %s", code, errors)
	}
}

func TestTowerErrors(t *testing.T) {
	tests := []struct {
		args []string
		code int
		want string
	}{
		{[]string{"46"}, 1, `there is no file 46, and no tower is named "46"; there are 23, 35,`},
		{[]string{"chekc", "our.yaml"}, 2, `it cannot do "chekc our.yaml"`},
		{[]string{"check"}, 2, "tower check needs one file"},
		{[]string{"new", "our.yaml"}, 2, "undersong tower new > our.yaml"},
		{[]string{"."}, 1, ". is a folder: give the file of a tower"},
	}
	for _, tt := range tests {
		code, out, errors := tower("", tt.args...)
		if code != tt.code || out != "" || !strings.Contains(errors, tt.want) {
			t.Errorf("tower %v: exit %d, %q, %q; want exit %d and %q", tt.args, code, out, errors, tt.code, tt.want)
		}
	}
}
