package sound

import (
	"cmp"
	"slices"
	"strings"

	"undersong/instrument"
	"undersong/score"
)

// dynamicSign is a dynamic mark or an end of a hairpin, as played.
type dynamicSign struct {
	at           score.Time
	staff, voice int // 0 for all
	score.Sign
}

// lane is a voice of a staff of a part.
type lane struct{ part, staff, voice int }

// dynamics tells how loudly voices play.
type dynamics struct {
	parts [][]dynamicSign
	// apart are the staves, and the voices of staves, that have marks of their
	// own: those that are marked at one moment with another.
	apart  map[lane]bool
	curves map[lane]*curve
}

// newDynamics reads the marks of what is played.
func newDynamics(p *score.Performed) *dynamics {
	d := &dynamics{apart: map[lane]bool{}, curves: map[lane]*curve{}}
	for _, part := range p.Score.Parts {
		var signs []dynamicSign
		for i, m := range part.Measures {
			for _, dir := range m.Directions {
				for _, s := range dir.Signs {
					if s.Name == "dynamics" || s.Name == "wedge" {
						signs = append(signs, dynamicSign{p.Starts[i].Add(dir.Onset), dir.Staff, dir.Voice, s})
					}
				}
			}
		}
		slices.SortStableFunc(signs, func(a, b dynamicSign) int { return a.at.Cmp(b.at) })
		d.parts = append(d.parts, signs)
	}
	for i, signs := range d.parts {
		d.findApart(i, signs)
	}
	return d
}

func (d *dynamics) findApart(part int, signs []dynamicSign) {
	voices := map[int]int{} // of the staves that have a mark at one moment, the first; 0 of none
	for i, s := range signs {
		if i > 0 && s.at != signs[i-1].at {
			clear(voices)
		}
		if s.Name != "dynamics" || s.staff == 0 {
			continue
		}
		first, marked := voices[s.staff]
		switch {
		case !marked && len(voices) > 0:
			d.apart[lane{part, 0, 0}] = true
		case marked && first != 0 && s.voice != 0 && s.voice != first:
			d.apart[lane{part, s.staff, 0}] = true
		}
		if first == 0 {
			voices[s.staff] = s.voice
		}
	}
}

// curve is that of a lane.
func (d *dynamics) curve(l lane) *curve {
	c, ok := d.curves[l]
	if !ok {
		c = newCurve(d.signs(l))
		d.curves[l] = c
	}
	return c
}

// signs are those that a voice obeys: the part's, unless staves or voices have
// their own. A part without any obeys those of the others.
func (d *dynamics) signs(l lane) []dynamicSign {
	signs := d.parts[l.part]
	if len(signs) == 0 {
		for _, others := range d.parts {
			signs = append(signs, others...)
		}
		slices.SortStableFunc(signs, func(a, b dynamicSign) int { return a.at.Cmp(b.at) })
		return signs
	}
	if d.apart[lane{l.part, 0, 0}] {
		signs = narrowed(signs, func(s dynamicSign) bool { return s.staff == 0 || s.staff == l.staff })
	}
	if d.apart[lane{l.part, l.staff, 0}] {
		signs = narrowed(signs, func(s dynamicSign) bool {
			return s.staff == 0 || s.staff == l.staff && (s.voice == 0 || s.voice == l.voice)
		})
	}
	return signs
}

// narrowed are the signs that are meant, or all where none is.
func narrowed(signs []dynamicSign, meant func(dynamicSign) bool) []dynamicSign {
	var own []dynamicSign
	for _, s := range signs {
		if meant(s) {
			own = append(own, s)
		}
	}
	if len(own) == 0 {
		return signs
	}
	return own
}

// stretch is a level from a time on, which moves from one value to another
// until a time and then stays. Levels are in marks above mf.
type stretch struct {
	at, until score.Time
	from, to  float64
}

// curve is the level of a lane over time.
type curve struct {
	stretches []stretch
	accents   map[score.Time]float64
}

func newCurve(signs []dynamicSign) *curve {
	c := &curve{accents: map[score.Time]float64{}}
	level := 0.0 // mf, where nothing is said
	for i, s := range signs {
		if s.Name == "wedge" {
			last := len(c.stretches) - 1
			running := last >= 0 && s.at.Less(c.stretches[last].until)
			if to, until, ok := hairpin(signs[i:], level); ok && !running {
				c.stretches = append(c.stretches, stretch{s.at, until, level, to})
				level = to
			}
			continue
		}
		if accent := accentOf(s.Text); accent > 0 {
			c.accents[s.at] = accent
		}
		if l, ok := levelOf(s.Text); ok {
			level = l
			c.stretches = append(c.stretches, stretch{s.at, s.at, l, l})
		}
	}
	return c
}

// hairpin is where the hairpin at the head of signs leads from a level: to the
// next mark within a quarter note of its end, if that is the way it goes, else
// one mark up or down.
func hairpin(signs []dynamicSign, level float64) (to float64, until score.Time, ok bool) {
	start := signs[0]
	way := map[string]float64{"crescendo": 1, "diminuendo": -1}[start.Type]
	for _, s := range signs[1:] {
		switch {
		case way == 0 || until.Sign() > 0 && until.Add(score.Quarter).Less(s.at):
			return atMost(level + way), until, ok
		case s.Name == "wedge" && s.Type == "stop" && s.Number == start.Number && !ok:
			until, ok = s.at, true
		case s.Name == "wedge" && s.Type != "continue" && (start.at.Less(s.at) || s.Number == start.Number) && !ok:
			return 0, until, false // it has no end
		}
		if l, isLevel := levelOf(s.Text); isLevel && ok && (l-level)*way > 0 {
			return l, until, true
		}
	}
	return atMost(level + way), until, ok && way != 0
}

// atMost is a level within ppp and fff.
func atMost(level float64) float64 { return max(softest, min(level, loudest)) }

// levelOf is the level that a dynamic mark sets. Marks beyond ppp and fff are
// taken as these.
func levelOf(mark string) (float64, bool) {
	if strings.Trim(mark, "p") == "" || strings.Trim(mark, "f") == "" {
		mark = mark[:min(len(mark), 3)]
	}
	if then, ok := thenLevel[mark]; ok {
		mark = then
	}
	d, ok := instrument.ParseDynamic(mark)
	return float64(d), ok
}

// thenLevel is what the marks of two levels lead to (MusicXML 4.0, dynamics).
var thenLevel = map[string]string{"fp": "p", "sfp": "p", "sfpp": "pp", "sfzp": "p", "pf": "f"}

// accentOf is how many marks louder the notes at a dynamic mark are than those
// after it.
func accentOf(mark string) float64 {
	switch mark {
	case "fp", "sfp", "sfpp", "sfzp":
		return 3
	case "sf", "sfz", "sffz", "fz", "rf", "rfz":
		return 1
	}
	return 0
}

// at is the level at a time, without accents.
func (c *curve) at(t score.Time) float64 {
	i, _ := slices.BinarySearchFunc(c.stretches, t, func(s stretch, t score.Time) int {
		return cmp.Or(s.at.Cmp(t), -1) // behind all that begin at t
	})
	if i == 0 {
		return 0
	}
	s := c.stretches[i-1]
	if !t.Less(s.until) {
		return s.to
	}
	way := t.Sub(s.at).Quarters() / s.until.Sub(s.at).Quarters()
	return s.from + way*(s.to-s.from)
}

// level is how loudly a stroke is played, in marks above mf.
func (d *dynamics) level(s *score.Strike) float64 {
	c := d.curve(lane{s.Part, s.Note.Staff, s.Note.Voice})
	level := c.at(s.Onset)
	accent := c.accents[s.Onset]
	for _, m := range s.Note.Marks {
		if m.Name == "accent" || m.Name == "strong-accent" {
			accent = max(accent, 1)
		}
	}
	return min(level+accent, loudest)
}

// softest and loudest are ppp and fff.
const softest, loudest = -4, 3
