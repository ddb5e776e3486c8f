package check

import (
	"strings"

	"undersong/score"
)

// Keyboard is a staff and what it is played on.
type Keyboard struct {
	Part   string `json:"part"` // the part's ID
	Name   string `json:"name,omitempty"`
	Staff  int    `json:"staff"` // counted from 1 in the part
	Pedals bool   `json:"pedals"`

	part int // index in the score
}

// Keyboards tells for each staff of a score what it is played on, from the
// top:
//
//   - Where parts are named after pedals, their staves are for the feet and all
//     others for the hands.
//   - Else the lowest of several staves is for the feet if it begins in the
//     bass clef: "two staves: treble clef = manual, bass clef = pedals"
//     (J. Gouwens, "Playing the Carillon", App. B). A third staff, and every
//     other one, is for the hands.
//   - A staff alone is for the hands, whatever its clef.
func Keyboards(s *score.Score) []Keyboard {
	var all []Keyboard
	named := false
	for i, p := range s.Parts {
		feet := namedPedals(p.Name)
		named = named || feet
		for staff := 1; staff <= p.Staves; staff++ {
			all = append(all, Keyboard{Part: p.ID, Name: p.Name, Staff: staff, Pedals: feet, part: i})
		}
	}
	if last := len(all) - 1; !named && last > 0 {
		k := &all[last]
		k.Pedals = firstClef(s.Parts[k.part], k.Staff).Sign == "F"
	}
	return all
}

// namedPedals knows the word in the languages of the trade.
func namedPedals(name string) bool {
	name = strings.ToLower(name)
	for _, word := range []string{"pedal", "pedaal", "pédal", "feet"} {
		if strings.Contains(name, word) {
			return true
		}
	}
	return false
}

// firstClef is the clef that a staff begins with; without one it is treble.
func firstClef(p *score.Part, staff int) score.Clef {
	for _, m := range p.Measures {
		for _, c := range m.Clefs {
			if c.Staff == staff || c.Staff == 0 {
				return c.Clef
			}
		}
		if len(m.Notes) > 0 {
			break
		}
	}
	return score.Treble
}
