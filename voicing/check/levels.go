package check

import (
	"slices"

	"undersong/instrument"
	"undersong/score"
)

// line is a voice of a staff. Voice 0 is the whole staff, staff 0 the whole
// part.
type line struct{ part, staff, voice int }

// mark is a dynamic mark from where on it holds.
type mark struct {
	line
	from  score.Time
	level instrument.Dynamic
}

// levels are the dynamic marks of a score by line, in time order.
type levels map[line][]mark

// levelsOf reads the plain marks from ppp to fff; hairpins and accents are left
// out. A mark is for its staff, or, where marks of that staff at one moment name
// several voices, for the voice that it names. Where only one staff of a part
// has marks, they are for all of them.
func levelsOf(s *score.Score, starts []score.Time) levels {
	l := levels{}
	for part, p := range s.Parts {
		marks := marksOf(part, p, starts)
		staves, voices := map[int]bool{}, map[staffTime]int{} // the voice, or several
		for _, m := range marks {
			at := staffTime{m.staff, m.from}
			staves[m.staff] = true
			if v, known := voices[at]; known && v != m.voice {
				voices[at] = several
			} else {
				voices[at] = m.voice
			}
		}
		for _, m := range marks {
			if voices[staffTime{m.staff, m.from}] != several {
				m.voice = 0
			}
			if len(staves) < 2 {
				m.staff = 0
			}
			l[m.line] = append(l[m.line], m)
		}
	}
	for _, marks := range l {
		slices.SortStableFunc(marks, func(x, y mark) int { return x.from.Cmp(y.from) })
	}
	return l
}

// staffTime is a moment of a staff.
type staffTime struct {
	staff int
	at    score.Time
}

// several stands for the voices that marks of one moment name.
const several = -1

func marksOf(part int, p *score.Part, starts []score.Time) []mark {
	var all []mark
	for i, m := range p.Measures {
		for _, d := range m.Directions {
			for _, sign := range d.Signs {
				if level, ok := instrument.ParseDynamic(sign.Text); ok && sign.Name == "dynamics" {
					all = append(all, mark{line{part, max(1, d.Staff), d.Voice}, starts[i].Add(d.Onset), level})
				}
			}
		}
	}
	return all
}

// at is the mark in force where a tone is struck.
func (l levels) at(t *score.Tone) instrument.Dynamic {
	n := t.First()
	return l.of(line{t.Part, n.Staff, n.Voice}, t.Onset)
}

// of is the mark in force for a line, mf before the first. Of the marks of a
// staff and of a voice the later one counts.
func (l levels) of(at line, time score.Time) instrument.Dynamic {
	var best mark
	for _, staff := range []int{at.staff, 0} {
		for _, voice := range []int{at.voice, 0} {
			m, found := lastAt(l[line{at.part, staff, voice}], time)
			if found && best.from.Cmp(m.from) <= 0 {
				best = m
			}
		}
	}
	return best.level
}

// lastAt is the last of marks, in time order, that is not after t.
func lastAt(marks []mark, t score.Time) (mark, bool) {
	i, _ := slices.BinarySearchFunc(marks, t, func(m mark, t score.Time) int {
		if t.Less(m.from) {
			return 1
		}
		return -1
	})
	if i == 0 {
		return mark{}, false
	}
	return marks[i-1], true
}
