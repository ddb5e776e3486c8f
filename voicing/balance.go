package voicing

import (
	"cmp"
	"slices"

	"undersong/score"
)

// Balance writes the levels: the source's dynamic marks and hairpins for the
// melody, and the same Steps lower for everything under or over it, so that
// the melody stands clear (J. Denyn, in Heemschut, Feb 1944: part melody and
// counter-melody in level).
type Balance struct{ Steps int }

// Name is "balance".
func (Balance) Name() string { return "balance" }

// levels are MusicXML's plain dynamic marks from the softest to the loudest.
var levels = []string{
	"pppppp", "ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "fffff", "ffffff",
}

// softer is the mark so many steps under a plain one. ok is false for a mark
// that is no level, such as sfz.
func softer(mark string, steps int) (string, bool) {
	i := slices.Index(levels, mark)
	if i < 0 {
		return "", false
	}
	return levels[max(i-steps, 0)], true
}

// target is a line of the result with its own marks.
type target struct {
	role  Role
	steps int // under the melody
}

// Apply implements [Pass].
func (b Balance) Apply(a *Arrangement) {
	targets := []target{{Melody, 0}}
	for _, r := range []Role{Accompaniment, Bass} {
		if len(a.with(r)) > 0 {
			targets = append(targets, target{r, b.Steps})
		}
	}
	marks, wedges := a.sourceLevels()
	if start := a.with(Melody)[0].Onset; len(marks) == 0 || start.Less(marks[0].onset) {
		i := a.measureAt(start)
		marks = append([]levelSign{{
			measure: i, onset: start,
			d: score.Direction{Onset: start.Sub(a.starts[i]), Signs: []score.Sign{{Name: "dynamics", Text: "mf"}}},
		}}, marks...)
	}
	for _, m := range marks {
		for _, t := range targets {
			a.addMark(m, t)
		}
	}
	for _, w := range pairWedges(wedges) {
		for i, t := range targets {
			a.addWedge(w[0], t, i+1)
			a.addWedge(w[1], t, i+1)
		}
	}
}

// levelSign is a dynamic mark or one end of a hairpin in the source.
type levelSign struct {
	measure int
	onset   score.Time
	d       score.Direction // with this sign alone
}

// sourceLevels are the dynamic marks and hairpins of the melody's part, or,
// where it has none, of the others. Of two marks at one moment the upper
// staff's counts.
func (a *Arrangement) sourceLevels() (marks, wedges []levelSign) {
	tune := a.with(Melody)[0].Part
	marks, wedges = a.levelsOf(func(part int) bool { return part == tune })
	if len(marks)+len(wedges) == 0 {
		marks, wedges = a.levelsOf(func(part int) bool { return part != tune })
	}
	marks = slices.CompactFunc(marks, func(x, y levelSign) bool { return x.onset == y.onset })
	return marks, wedges
}

func (a *Arrangement) levelsOf(wanted func(part int) bool) (marks, wedges []levelSign) {
	for part, p := range a.Source.Parts {
		for i, m := range p.Measures {
			for _, d := range m.Directions {
				if !wanted(part) {
					continue
				}
				for _, s := range d.Signs {
					one := d
					one.Signs = []score.Sign{s}
					l := levelSign{i, a.starts[i].Add(d.Onset), one}
					switch s.Name {
					case "dynamics":
						marks = append(marks, l)
					case "wedge":
						wedges = append(wedges, l)
					}
				}
			}
		}
	}
	order := func(x, y levelSign) int { return cmp.Or(x.onset.Cmp(y.onset), cmp.Compare(x.d.Staff, y.d.Staff)) }
	slices.SortStableFunc(marks, order)
	slices.SortStableFunc(wedges, order)
	return marks, wedges
}

// pairWedges are the hairpins that have both ends, without those that begin
// before the last has ended.
func pairWedges(ends []levelSign) [][2]levelSign {
	var pairs [][2]levelSign
	var from *levelSign
	for i := range ends {
		stop := ends[i].d.Signs[0].Type == "stop"
		switch {
		case stop && from != nil && from.onset.Less(ends[i].onset):
			pairs = append(pairs, [2]levelSign{*from, ends[i]})
			from = nil
		case !stop && from == nil && ends[i].d.Signs[0].Type != "continue":
			from = &ends[i]
		}
	}
	return pairs
}

func (a *Arrangement) addMark(m levelSign, t target) {
	sign := m.d.Signs[0]
	if t.steps > 0 {
		text, ok := softer(sign.Text, t.steps)
		if !ok {
			return // an accent of the melody
		}
		sign = score.Sign{Name: "dynamics", Text: text}
	}
	a.addLevel(m, t, sign)
}

func (a *Arrangement) addWedge(w levelSign, t target, number int) {
	sign := w.d.Signs[0]
	if t.steps > 0 {
		sign.Source = 0
	}
	sign.Number = number
	a.addLevel(w, t, sign)
}

func (a *Arrangement) addLevel(l levelSign, t target, sign score.Sign) {
	on, voice := a.seatOf(t.role)
	// On a staff of two lines the upper has its marks above.
	placement := "below"
	if voice == upperVoice && a.shared() {
		placement = "above"
	}
	a.Directions = append(a.Directions, Placed{l.measure, score.Direction{
		Onset: l.d.Onset, Printed: true, Signs: []score.Sign{sign},
		Staff: staffOf(on), Voice: voice, Placement: placement,
	}})
}
