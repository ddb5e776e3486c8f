package instrument

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undersong/instrument/acoustic"
)

// field is one line that a profile can have.
type field struct {
	name string
	want string // which values it takes; "" where the template says it itself
	// set puts a value into what is read, or says what is wrong with it.
	set func(d *draft, value string) error
}

// fields is every field, in the order of the profile that has them all.
func fields() []field {
	return []field{
		{"from", "", setFrom},
		{"name", wantName, setName},
		compass("keys", "must be names of keys and of runs, such as C3 D3 E3-C7", func(d *draft) *Compass { return &d.keys }),
		compass("missing", "must be names of keys that the manual has, or none", func(d *draft) *Compass { return &d.missing }),
		compass("pedals", wantPedals, func(d *draft) *Compass { return &d.pedals }),
		whole("transposition", "semitones", -12, 24, func(d *draft) *int { return &d.tower.Transposition }),
		number("bourdon", "kg", 0, 30000, func(d *draft) *float64 { return &d.tower.Casting.Bourdon }),
		number("small-bells", "", 0, 2, func(d *draft) *float64 { return &d.tower.Casting.SmallBells }),
		number("ring", "times", 0.25, 4, func(d *draft) *float64 { return &d.tower.Casting.Ring }),
		number("dynamics", "dB", 1, 12, func(d *draft) *float64 { return &d.tower.Dynamics }),
		partials("low-partials", func(d *draft) *[]acoustic.Partial { return &d.tower.Casting.LowPartials }),
		partials("high-partials", func(d *draft) *[]acoustic.Partial { return &d.tower.Casting.HighPartials }),
		number("key-spacing", "mm", 30, 70, func(d *draft) *float64 { return &d.tower.Player.KeySpacing }),
		number("pedal-spacing", "mm", 60, 120, func(d *draft) *float64 { return &d.tower.Player.PedalSpacing }),
		whole("hand-notes", "", 1, 3, func(d *draft) *int { return &d.tower.Player.HandNotes }),
		whole("slow-hand-notes", "", 1, 4, func(d *draft) *int { return &d.tower.Player.SlowHandNotes }),
		number("hand-reach", "mm", 0, 500, func(d *draft) *float64 { return &d.tower.Player.HandReach }),
		number("hands-reach", "mm", 300, 2000, func(d *draft) *float64 { return &d.tower.Player.HandsReach }),
		number("hand-leap", "mm", 0, 2000, func(d *draft) *float64 { return &d.tower.Player.HandLeap }),
		whole("foot-notes", "", 0, 2, func(d *draft) *int { return &d.tower.Player.FootNotes }),
		number("feet-reach", "mm", 0, 1500, func(d *draft) *float64 { return &d.tower.Player.FeetReach }),
		whole("notes", "", 2, 12, func(d *draft) *int { return &d.tower.Player.Notes }),
		number("hand-stroke", "s", 0.02, 1, func(d *draft) *float64 { return &d.tower.Player.HandStroke }),
		number("hand-speed", "mm/s", 100, 10000, func(d *draft) *float64 { return &d.tower.Player.HandSpeed }),
		number("foot-stroke", "s", 0.02, 1, func(d *draft) *float64 { return &d.tower.Player.FootStroke }),
		number("foot-speed", "mm/s", 100, 10000, func(d *draft) *float64 { return &d.tower.Player.FootSpeed }),
		number("repeat", "s", 0.02, 2, func(d *draft) *float64 { return &d.tower.Player.Repeat }),
	}
}

// setFrom comes first: it replaces all but the name.
func setFrom(d *draft, value string) error {
	base, err := Named(value)
	if err != nil {
		return err
	}
	name := d.tower.Name
	d.tower = *base
	d.tower.Name = name
	return nil
}

const (
	wantName   = "must be what the tower is called, in one line"
	wantPedals = "must be the lowest and the highest pedal, such as C3-G4, or none"
)

func setName(d *draft, value string) error {
	if value == "" || strings.ContainsAny(value, "\r\n") {
		return errors.New(wantName)
	}
	d.tower.Name = value
	return nil
}

func number(name, unit string, least, most float64, at func(*draft) *float64) field {
	want := limits("must be a number", unit, least, most)
	return field{name, want, func(d *draft, value string) error {
		x, err := strconv.ParseFloat(value, 64)
		if err != nil || !(x >= least && x <= most) {
			return errors.New(want)
		}
		*at(d) = x
		return nil
	}}
}

func whole(name, unit string, least, most int, at func(*draft) *int) field {
	want := limits("must be a whole number", unit, float64(least), float64(most))
	return field{name, want, func(d *draft, value string) error {
		n, err := strconv.Atoi(value)
		if err != nil || n < least || n > most {
			return errors.New(want)
		}
		*at(d) = n
		return nil
	}}
}

func limits(kind, unit string, least, most float64) string {
	return strings.TrimSpace(fmt.Sprintf("%s from %v to %v %s", kind, least, most, unit))
}

func compass(name, want string, at func(*draft) *Compass) field {
	return field{name, want, func(d *draft, value string) error {
		if value == "none" && name != "keys" {
			*at(d) = Compass{}
			return nil
		}
		c, err := parseCompass(value)
		if err == nil && c.Len() == 0 {
			err = errors.New(want)
		}
		*at(d) = c
		return err
	}}
}

// partials reads ratios and amplitudes by turns.
func partials(name string, at func(*draft) *[]acoustic.Partial) field {
	const want = "must be lines of a ratio from 0.1 to 20 and an amplitude from 0 to 100, the ratios rising, one amplitude over 0"
	return field{name, want, func(d *draft, value string) error {
		var list []acoustic.Partial
		words := strings.Fields(value)
		for ; len(words) >= 2; words = words[2:] {
			ratio, err1 := strconv.ParseFloat(words[0], 64)
			amplitude, err2 := strconv.ParseFloat(words[1], 64)
			list = append(list, acoustic.Partial{Ratio: ratio, Amplitude: amplitude})
			if errors.Join(err1, err2) != nil || !plausible(list) {
				return fmt.Errorf("%s; %s %s is not", want, words[0], words[1])
			}
		}
		sounds := func(p acoustic.Partial) bool { return p.Amplitude > 0 }
		if len(words) > 0 || !slices.ContainsFunc(list, sounds) {
			return errors.New(want)
		}
		*at(d) = list
		return nil
	}}
}

// plausible tells whether the last of some partials can follow the others.
func plausible(list []acoustic.Partial) bool {
	p, below := list[len(list)-1], 0.0
	if len(list) > 1 {
		below = list[len(list)-2].Ratio
	}
	return p.Ratio > below && p.Ratio >= 0.1 && p.Ratio <= 20 && p.Amplitude >= 0 && p.Amplitude <= 100
}
