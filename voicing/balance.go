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
	melody := a.with(Melody)
	if len(melody) == 0 {
		return
	}
	targets := []target{{Melody, 0}}
	for _, r := range []Role{Accompaniment, Bass} {
		if len(a.with(r)) > 0 {
			targets = append(targets, target{r, b.Steps})
		}
	}
	marks, wedges := a.sourceLevels(melody)
	if start := a.firstStroke(); len(marks) == 0 || start.Less(marks[0].onset) {
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
	part, measure int
	onset         score.Time
	d             score.Direction // with this sign alone
}

// firstStroke is when the first note of the result is struck.
func (a *Arrangement) firstStroke() score.Time {
	return a.where(func(n *Note) bool { return n.LeftOut == "" })[0].Onset
}

// sourceLevels are the dynamic marks and hairpins of the melody's part. Those
// of other parts count where the melody rests, or where its part has none at
// all; the rest of them give way to the melody's. Of two marks at one moment
// the upper staff's counts.
func (a *Arrangement) sourceLevels(melody []*Note) (marks, wedges []levelSign) {
	tune := melody[0].Part
	marks, wedges = a.levelsOf(func(part int) bool { return part == tune })
	none := len(marks)+len(wedges) == 0
	otherMarks, otherWedges := a.levelsOf(func(part int) bool { return part != tune })
	sings := a.melodyRanges()
	for _, m := range otherMarks {
		if _, busy := sings[m.onset]; none || !busy {
			marks = append(marks, m)
		} else {
			a.leaveOutSign(m.d.Signs[0].Source, m.part, m.onset, "dynamics", "the level follows the melody's")
		}
	}
	if none {
		wedges = otherWedges
	} else {
		for _, w := range otherWedges {
			a.leaveOutSign(w.d.Signs[0].Source, w.part, w.onset, "wedge", "the level follows the melody's")
		}
	}
	slices.SortStableFunc(marks, inTime)
	return slices.CompactFunc(marks, func(x, y levelSign) bool { return x.onset == y.onset }), wedges
}

func inTime(x, y levelSign) int {
	return cmp.Or(x.onset.Cmp(y.onset), cmp.Compare(x.d.Staff, y.d.Staff))
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
					l := levelSign{part, i, a.starts[i].Add(d.Onset), one}
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
	slices.SortStableFunc(marks, inTime)
	slices.SortStableFunc(wedges, inTime)
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
		Onset: l.d.Onset, Signs: []score.Sign{sign},
		Staff: staffOf(on), Voice: voice, Placement: placement,
	}})
}
