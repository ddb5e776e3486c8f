package check

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"undersong/score"
	"undersong/voicing/playing"
)

// compass finds the notes without a key.
func (c *checker) compass(all []struck) {
	for i := range all {
		s := &all[i]
		if !s.missing {
			continue
		}
		f := Finding{Category: Compass, What: "no key", Value: float64(s.key), Unit: "MIDI"}
		if s.pedal {
			f.What = "no pedal"
		}
		advice := "nor has it in any octave: leave it out"
		if octaves, ok := c.nearest(s); ok {
			f.Limit = float64(s.key + 12*octaves)
			advice = fmt.Sprintf("the nearest is %s", s.pitch().Octaves(octaves))
			if s.pedal && c.tower.Manual.Has(s.key) {
				advice += ", or play it by hand"
			}
		}
		f.Text = fmt.Sprintf("%s has %s; %s", s.pitch(), f.What, advice)
		c.find(s, f)
	}
}

// nearest is how many octaves away the nearest key for a note is, on its own
// keyboard.
func (c *checker) nearest(s *struck) (octaves int, ok bool) {
	for n := 1; n <= 10; n++ {
		for _, octaves := range []int{n, -n} {
			if c.keys(s.pedal).Has(s.key + 12*octaves) {
				return octaves, true
			}
		}
	}
	return 0, false
}

// playable gives every stroke its limb and finds what none can play.
func (c *checker) playable(all []struck) {
	written := stemHands(c.score)
	var strokes []playing.Stroke
	var of []*struck
	for i := range all {
		if s := &all[i]; !s.missing {
			strokes = append(strokes, written.stroke(s))
			of = append(of, s)
		}
	}
	a := c.player.Assign(strokes)
	for k, s := range of {
		s.limb = a.Limbs[k]
	}
	for _, p := range a.Problems {
		involved := make([]*struck, len(p.Strokes))
		for k, n := range p.Strokes {
			involved[k] = of[n]
		}
		f := Finding{Category: Unplayable, What: p.Reason.String(), Value: p.Value, Limit: p.Limit, Unit: unit(p.Reason)}
		if p.Reason == playing.Repeated || p.Reason == playing.Leap {
			f.Category = TooFast
		}
		f.Text = problemText(p, involved)
		c.find(involved[len(involved)-1], f)
	}
	c.difficulty(all, &a)
}

func unit(r playing.Reason) string {
	switch r {
	case playing.TooMany:
		return "notes"
	case playing.TooWide, playing.TooFarApart, playing.Leap:
		return "mm"
	}
	return "s"
}

// problemText says what cannot be played and what to do.
func problemText(p playing.Problem, involved []*struck) string {
	last := involved[len(involved)-1]
	before, now := keysOf(involved, func(s *struck) bool { return s.at < last.at }), keysOf(involved, func(s *struck) bool { return s.at == last.at })
	value, limit := apart(p.Value, p.Limit, 2)
	switch p.Reason {
	case playing.TooMany:
		return fmt.Sprintf("%s: %.0f notes for %s, %.0f is the most: leave out %.0f", now, p.Value, takers(p, involved), p.Limit, p.Value-p.Limit)
	case playing.TooWide:
		return fmt.Sprintf("%s: %.0f mm for the %s, which reaches %.0f: bring them closer or leave one out", now, p.Value, p.Limb, p.Limit)
	case playing.TooFarApart:
		return fmt.Sprintf("%s: the %s are %.0f mm apart, %.0f is the most: bring them closer", now, limbs(p), p.Value, p.Limit)
	case playing.Moving:
		return fmt.Sprintf("%s: %s after %s in %s s, with several notes it takes %s: leave one out or slow down", p.Limb, now, before, value, limit)
	case playing.TooSoon:
		return fmt.Sprintf("%s: %s after %s in %s s, it takes %s: fewer strokes, closer keys, or slow down", p.Limb, now, before, value, limit)
	case playing.Repeated:
		return fmt.Sprintf("%s again after %s s, its clapper takes %s: fewer strokes, or another octave in turn", now, value, limit)
	}
	return fmt.Sprintf("%s: %s after %s is a quick leap of %.0f mm, over %.0f is hard: closer keys, or share them", p.Limb, now, before, p.Value, p.Limit)
}

// apart writes two different numbers with so many decimals, or as many more as
// show that they differ.
func apart(value, limit float64, decimals int) (v, l string) {
	for ; decimals < 6; decimals++ {
		v, l = strconv.FormatFloat(value, 'f', decimals, 64), strconv.FormatFloat(limit, 'f', decimals, 64)
		if v != l {
			break
		}
	}
	return v, l
}

// takers is who has too many notes.
func takers(p playing.Problem, involved []*struck) string {
	pedals, manual := false, false
	for _, s := range involved {
		pedals, manual = pedals || s.pedal, manual || !s.pedal
	}
	switch {
	case p.Limb != playing.Nobody:
		return "the " + p.Limb.String()
	case pedals && manual:
		return "hands and feet together"
	}
	return "the " + limbs(p)
}

func limbs(p playing.Problem) string {
	if p.Pedals {
		return "feet"
	}
	return "hands"
}

// keysOf are the keys of the strokes wanted, as written.
func keysOf(all []*struck, wanted func(*struck) bool) string {
	var keys []string
	for _, s := range all {
		if name := s.pitch().String(); wanted(s) && !slices.Contains(keys, name) {
			keys = append(keys, name)
		}
	}
	return strings.Join(keys, " ")
}

// stemmed is what stems tell of hands.
type stemmed struct {
	voices map[[3]int]score.Stem // by part, staff and voice
	alone  map[[3]int]bool       // part, staff and measure in which one voice strikes alone
}

// stemHands finds the staves in which each voice has stems of one direction
// and both directions occur: there, up is the right hand and down the left one
// (common practice, no source), also of notes without a stem; but a line that
// has a measure of the staff to itself goes between the hands. Elsewhere stems
// follow the lines of the staff.
func stemHands(s *score.Score) stemmed {
	found := stemmed{map[[3]int]score.Stem{}, map[[3]int]bool{}}
	mixed := map[[2]int]bool{} // staves in which a voice has both
	used := map[[2]int]map[score.Stem]bool{}
	bare := map[[2]int]map[int]bool{} // voices of whole notes, which have no stems
	for i, p := range s.Parts {
		for at, m := range p.Measures {
			first := map[int]int{} // voice of each staff
			for k := range m.Notes {
				n := &m.Notes[k]
				if n.Kind != score.Pitched {
					continue
				}
				if voice, ok := first[n.Staff]; !ok {
					first[n.Staff] = n.Voice
					found.alone[[3]int{i, n.Staff, at}] = true
				} else if voice != n.Voice {
					found.alone[[3]int{i, n.Staff, at}] = false
				}
				staff, voice := [2]int{i, n.Staff}, [3]int{i, n.Staff, n.Voice}
				if n.Stem != score.StemUp && n.Stem != score.StemDown {
					if bare[staff] == nil {
						bare[staff] = map[int]bool{}
					}
					bare[staff][n.Voice] = true
					continue
				}
				if before, ok := found.voices[voice]; ok && before != n.Stem {
					mixed[staff] = true
				}
				found.voices[voice] = n.Stem
				if used[staff] == nil {
					used[staff] = map[score.Stem]bool{}
				}
				used[staff][n.Stem] = true
			}
		}
	}
	for staff, voices := range bare {
		maps.DeleteFunc(voices, func(voice int, _ bool) bool {
			_, has := found.voices[[3]int{staff[0], staff[1], voice}]
			return has
		})
		if len(voices) != 1 || len(used[staff]) != 1 {
			continue
		}
		stem := score.StemUp // of the hand that the other voices leave
		if used[staff][score.StemUp] {
			stem = score.StemDown
		}
		for voice := range voices {
			found.voices[[3]int{staff[0], staff[1], voice}] = stem
		}
		used[staff][stem] = true
	}
	maps.DeleteFunc(found.voices, func(voice [3]int, _ score.Stem) bool {
		staff := [2]int{voice[0], voice[1]}
		return mixed[staff] || len(used[staff]) < 2
	})
	return found
}

// stroke is s for whoever shares strokes between limbs.
func (w stemmed) stroke(s *struck) playing.Stroke {
	return playing.Stroke{At: s.at, Key: s.key, Pedal: s.pedal, Wants: w.wants(s)}
}

// wants is the hand that a note is written for.
func (w stemmed) wants(s *struck) playing.Limb {
	n := s.tone.First()
	if s.pedal || w.alone[[3]int{s.tone.Part, n.Staff, s.measure}] {
		return playing.Nobody
	}
	switch w.voices[[3]int{s.tone.Part, n.Staff, n.Voice}] {
	case score.StemUp:
		return playing.RightHand
	case score.StemDown:
		return playing.LeftHand
	}
	return playing.Nobody
}
