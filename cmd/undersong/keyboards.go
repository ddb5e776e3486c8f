package main

import (
	"bytes"
	"fmt"
	"strings"

	"undersong/instrument"
	"undersong/score"
)

// keyboards draws the manual and, under it, the pedalboard: "|" is a key, "."
// a key that has no bell, the black keys in the upper row of each.
func keyboards(t *instrument.Tower) string {
	low, high := t.Manual.Low(), t.Manual.High()
	var b strings.Builder
	fmt.Fprintf(&b, "        %s\n", octaveNames(low, high))
	for _, board := range []struct {
		name string
		keys instrument.Compass
	}{{"manual", t.Manual}, {"pedals", t.Pedals}} {
		if board.keys.Len() == 0 {
			continue
		}
		black, white := rows(board.keys, low)
		fmt.Fprintf(&b, "%-7s %s\n        %s\n", board.name, black, white)
	}
	b.WriteString("        | a key    . no key or no bell\n")
	return b.String()
}

// rows draws the black and the white keys of one board, from its lowest to its
// highest, where the drawing starts at key origin.
func rows(keys instrument.Compass, origin int) (black, white string) {
	upper, lower := blank(origin, keys.High()), blank(origin, keys.High())
	for key := keys.Low(); key <= keys.High(); key++ {
		row := lower
		if isBlack(key) {
			row = upper
		}
		row[column(key)-column(origin)] = '.'
		if keys.Has(key) {
			row[column(key)-column(origin)] = '|'
		}
	}
	return trimmed(upper), trimmed(lower)
}

// octaveNames names every C.
func octaveNames(low, high int) string {
	row := blank(low, high+12)
	for key := low; key <= high; key++ {
		if key%12 == 0 {
			copy(row[column(key)-column(low):], score.KeyName(key))
		}
	}
	return trimmed(row)
}

// column has two places for every white key; a black one stands between two.
func column(key int) int {
	p := score.Spell(key)
	return 2*p.Diatonic() + int(p.Alter/score.Sharp)
}

func isBlack(key int) bool { return score.Spell(key).Alter != score.Natural }

func blank(low, high int) []byte {
	return bytes.Repeat([]byte(" "), column(high)-column(low)+1)
}

func trimmed(row []byte) string { return strings.TrimRight(string(row), " ") }
