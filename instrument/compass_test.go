package instrument

import (
	"slices"
	"testing"
)

func compassOf(keys ...int) (c Compass) {
	for _, k := range keys {
		c = c.with(k)
	}
	return c
}

func TestCompass(t *testing.T) {
	tests := []struct {
		text      string
		keys      []int
		canonical string // "" where it is the text itself
	}{
		{"C3", []int{48}, ""},
		{"C3 D3 E3–G3", []int{48, 50, 52, 53, 54, 55}, ""},
		{"C3 D3 E3-G3", []int{48, 50, 52, 53, 54, 55}, "C3 D3 E3–G3"},
		{"C3-C3", []int{48}, "C3"},
		{"E3 C3 C#3 D3", []int{48, 49, 50, 52}, "C3–D3 E3"},
		{"Bb2 b2 Cb3", []int{46, 47}, "A#2–B2"},
		{"D#4–F4", []int{63, 64, 65}, ""}, // across the words of the set
		{"C0 G9", []int{12, 127}, ""},
		{"Bb2, C3,E3 - G3", []int{46, 48, 52, 53, 54, 55}, "A#2 C3 E3–G3"},
		{"C3 – D3", []int{48, 49, 50}, "C3–D3"},
		{"", nil, ""},
	}
	for _, tt := range tests {
		c, err := parseCompass(tt.text)
		if err != nil {
			t.Errorf("%q: %v", tt.text, err)
			continue
		}
		if got := slices.Collect(c.Keys()); !slices.Equal(got, tt.keys) {
			t.Errorf("%q has keys %v, want %v", tt.text, got, tt.keys)
		}
		if c != compassOf(tt.keys...) || c.Len() != len(tt.keys) {
			t.Errorf("%q = %v of %d keys", tt.text, c, c.Len())
		}
		want := tt.canonical
		if want == "" {
			want = tt.text
		}
		if c.String() != want {
			t.Errorf("%q is written %q, want %q", tt.text, c, want)
		}
		if len(tt.keys) > 0 && (c.Low() != tt.keys[0] || c.High() != tt.keys[len(tt.keys)-1]) {
			t.Errorf("%q reaches from %d to %d", tt.text, c.Low(), c.High())
		}
	}
}

func TestCompassHas(t *testing.T) {
	c := compassOf(12, 63, 64, 127, 5, 128, -1)
	for key := -200; key < 300; key++ {
		want := slices.Contains([]int{12, 63, 64, 127}, key)
		if c.Has(key) != want {
			t.Errorf("Has(%d) = %v", key, !want)
		}
	}
	var empty Compass
	if empty.Low() != 0 || empty.High() != 0 || empty.Len() != 0 || empty.String() != "" {
		t.Errorf("the empty compass is %v, %d to %d", empty, empty.Low(), empty.High())
	}
	for range c.Keys() {
		break // the sequence must let itself be left
	}
}

func TestParseCompassErrors(t *testing.T) {
	for _, text := range []string{
		"H3", "C", "3", "C#", "C10", "Cx4", "C-1", "G#9", "Abb0 B-1", "E3-C3", "C3--D3", "-", "C3-", "ø3", "c♯4",
	} {
		if c, err := parseCompass(text); err == nil {
			t.Errorf("%q is read as %v", text, c)
		}
	}
}
