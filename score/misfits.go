package score

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Misfit is a measure of a part that its music does not fill, or overfills.
type Misfit struct {
	Part, Measure int // indexes
	Has           Time
	Time          TimeSignature // of the measure
}

// Misfits are the measures that do not have the length of their time signature, in the
// order of the piece, as far as that is an error of writing.
//
// It is none where no metre holds, where the time signature changes inside or staves
// have different ones, in a measure that is not counted (Implicit), and where voices
// end early under one that does not. Nor is a short measure one that begins or ends
// the piece, that is a whole one together with the next or the one before, or that
// stands at a repeat, an ending or a double bar and would be whole with some other short one
// of its part, such as the pickup; nor is, where repeats are written out, one of these the next time.
func (s *Score) Misfits() []Misfit {
	signs := s.signsBefore()
	var all []Misfit
	for i, p := range s.Parts {
		all = append(all, p.misfits(i, signs)...)
	}
	slices.SortStableFunc(all, func(x, y Misfit) int { return cmp.Compare(x.Measure, y.Measure) })
	return all
}

func (p *Part) misfits(part int, signs []bool) []Misfit {
	var all []Misfit
	var now TimeSignature
	short := map[Time]int{} // measures by their length
	for i, m := range p.Measures {
		var here TimeSignature
		here, now = m.onlyTime(now)
		whole, measured := here.Length()
		if !measured || m.Length == whole {
			continue
		}
		if m.Length.Less(whole) {
			short[m.Length]++
		}
		if !m.Implicit {
			all = append(all, Misfit{part, i, m.Length, here})
		}
	}
	right := map[string]bool{} // numbers of measures that are short rightly
	return slices.DeleteFunc(all, func(f Misfit) bool {
		i, last := f.Measure, len(p.Measures)-1
		whole, _ := f.Time.Length()
		lacking := whole.Sub(f.Has)
		if lacking.Sign() < 0 {
			return false
		}
		others := short[lacking]
		if lacking == f.Has {
			others-- // itself
		}
		number := p.Measures[i].Number
		first := WithoutTime(number)
		if i == 0 || i == last || p.Measures[i-1].Length == lacking || p.Measures[i+1].Length == lacking ||
			others > 0 && (signs[i] || signs[i+1]) {
			right[first] = true
			return true
		}
		return first != number && right[first]
	})
}

// onlyTime is the one time signature of m, after another, and the one that holds after
// m: neither where staves have different ones, not the first where it changes inside.
func (m *Measure) onlyTime(before TimeSignature) (here, after TimeSignature) {
	here, after = m.firstTime(before), m.lastTime(before)
	first := here
	for _, c := range m.Times {
		switch {
		case c.Time.Equal(first):
		case c.Onset.Sign() == 0:
			return TimeSignature{}, TimeSignature{}
		default:
			here = TimeSignature{}
		}
	}
	return here, after
}

// signsBefore tells before which measures there is a repeat, an ending or a double bar, in any part.
func (s *Score) signsBefore() []bool {
	signs := make([]bool, s.MeasureCount()+1)
	for _, p := range s.Parts {
		for i, m := range p.Measures {
			for _, b := range m.Barlines {
				if b.Repeat == "" && b.Ending.Type == "" && !strings.Contains(b.Style, "-") {
					continue
				}
				if b.Location == "left" {
					signs[i] = true
				} else {
					signs[i+1] = true
				}
			}
		}
	}
	return signs
}

// mostMisfits is how many are named.
const mostMisfits = 3

// MisfitText tells of all [Score.Misfits] in a line, "" where there are none.
func (s *Score) MisfitText() string {
	all := s.Misfits()
	if len(all) == 0 {
		return ""
	}
	var places []string
	for _, f := range all[:min(mostMisfits, len(all))] {
		places = append(places, s.misfitText(f))
	}
	text := places[0]
	if len(all) > 1 {
		if more := len(all) - len(places); more > 0 {
			places = append(places, fmt.Sprintf("and %d more", more))
		}
		text = fmt.Sprintf("measures do not fit their time signature in %d places (%s)", len(all), strings.Join(places, "; "))
	}
	return text + ": correct the notes and rests there, or the time signature, in the program that wrote the score; else all that follows is off the beat"
}

func (s *Score) misfitText(f Misfit) string {
	p := s.Parts[f.Part]
	at := Place{Part: cmp.Or(p.Name, p.ID), Measure: cmp.Or(p.Measures[f.Measure].Number, strconv.Itoa(f.Measure+1))}
	if slices.ContainsFunc(s.Parts, func(q *Part) bool { return q != p && q.Name == p.Name }) {
		at.Part = p.ID
	}
	notes := "quarter notes"
	if f.Has == Quarter {
		notes = "quarter note"
	}
	whole, _ := f.Time.Length()
	return fmt.Sprintf("%s has %s %s, %s holds %s", at, mixed(f.Has), notes, f.Time, mixed(whole))
}

// mixed is a time in words of music: "3 1/2".
func mixed(t Time) string {
	whole := t.Floor(Quarter)
	if part := t.Sub(whole); part.Sign() > 0 && whole.Sign() > 0 {
		return whole.String() + " " + part.String()
	}
	return t.String()
}

// String is "3/4", "3+2/8" or, of several groups, "3/4+3/8".
func (t TimeSignature) String() string {
	var groups []string
	for _, g := range t.Groups {
		var beats []string
		for _, b := range g.Beats {
			beats = append(beats, strconv.Itoa(b))
		}
		groups = append(groups, strings.Join(beats, "+")+"/"+strconv.Itoa(g.Unit))
	}
	return strings.Join(groups, "+")
}
