package voicing

import (
	"cmp"
	"strings"

	"undersong/score"
)

// Line is the melody of a score.
type Line struct {
	Tones []int  // indexes of the score's tones, in time order
	From  string // where it was taken from, for the report
}

// FindMelody tells which tones of s are its melody: the sung line if there
// is one, else the top line of the upper staff. Hidden, cue and grace notes
// are never melody.
func FindMelody(s *score.Score, tones []score.Tone) Line {
	part, sung := sungPart(s)
	line := Line{Tones: topLine(tones, part)}
	name := cmp.Or(strings.Join(strings.Fields(s.Parts[part].Name), " "), s.Parts[part].ID)
	if sung {
		line.From = "the sung line of part " + name
	} else {
		line.From = "the top line of the upper staff of part " + name
	}
	return line
}

// sungPart is the first part with words on its upper staff, or the first
// part that plays anything.
func sungPart(s *score.Score) (index int, sung bool) {
	first := -1
	for i, p := range s.Parts {
		plays := false
		for _, m := range p.Measures {
			for j := range m.Notes {
				n := &m.Notes[j]
				if !n.Plays() || n.Staff != 1 {
					continue
				}
				if plays = true; len(n.Lyrics) > 0 {
					return i, true
				}
			}
		}
		if plays && first < 0 {
			first = i
		}
	}
	return max(first, 0), false
}

// topLine is, at each onset, the highest note struck on the upper staff of
// the part, unless a higher one of the line still sounds.
func topLine(tones []score.Tone, part int) []int {
	var line []int
	for i, t := range tones {
		n := t.First()
		if t.Part != part || n.Staff != 1 || n.Grace || !n.Plays() {
			continue
		}
		if last := len(line) - 1; last >= 0 && tones[line[last]].Onset == t.Onset {
			line = line[:last] // tones are sorted from low to high
		}
		if !covered(tones, line, &t) {
			line = append(line, i)
		}
	}
	return line
}

// covered tells whether a higher note of the line sounds when t is struck.
func covered(tones []score.Tone, line []int, t *score.Tone) bool {
	// Lines overlap themselves by little: a few notes back is enough.
	for i := len(line) - 1; i >= 0 && i >= len(line)-4; i-- {
		o := &tones[line[i]]
		if t.Onset.Less(o.End()) && t.Pitch.MIDI() < o.Pitch.MIDI() {
			return true
		}
	}
	return false
}
