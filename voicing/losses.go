package voicing

import (
	"cmp"
	"slices"
	"strings"
)

// Loss is what was left out of the result for one reason.
type Loss struct {
	What, Why string
	Sign      bool  // and not notes
	Count     int   // a line that has both its ends among them is one
	Measures  []int // by index, rising
	stops     int   // ends of lines, whose beginnings are counted
}

// signNames are what musicians call what MusicXML names otherwise.
var signNames = map[string]string{
	"print":         "page layout",
	"staff-details": "staff layout",
	"part-symbol":   "brace",
	"instruments":   "instrument",
	"measure-style": "sign for resting or repeated measures",
	"wedge":         "hairpin",
	"octave-shift":  "octave line",
}

// Losses is what was left out, by what it is and why, signs by their musical names.
func (r *Report) Losses() []Loss {
	type kind struct {
		what, why string
		sign      bool
	}
	all := map[kind]*Loss{}
	for _, c := range r.Changes {
		if c.LeftOut == "" {
			continue
		}
		k := kind{c.What, c.LeftOut, c.Note == ""}
		if all[k] == nil {
			all[k] = &Loss{What: cmp.Or(signNames[c.What], strings.ReplaceAll(c.What, "-", " ")), Why: c.LeftOut, Sign: k.sign}
		}
		all[k].add(&c)
	}
	var losses []Loss
	for _, l := range all {
		l.Count = max(l.Count, l.stops, 1)
		slices.Sort(l.Measures)
		l.Measures = slices.Compact(l.Measures)
		losses = append(losses, *l)
	}
	slices.SortFunc(losses, func(x, y Loss) int { return cmp.Or(cmp.Compare(x.What, y.What), cmp.Compare(x.Why, y.Why)) })
	return losses
}

func (l *Loss) add(c *Change) {
	switch c.Type {
	case "stop":
		l.stops++
	case "continue", "change", "discontinue", "resume": // in the midst of a line
	default:
		l.Count++
	}
	l.Measures = append(l.Measures, c.Index)
}
