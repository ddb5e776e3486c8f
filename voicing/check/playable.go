package check

import (
	"fmt"
	"slices"
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
		advice := "no octave has one: leave it out"
		if key, ok := c.nearest(s); ok {
			f.Limit = float64(key)
			advice = fmt.Sprintf("the nearest is %s", score.KeyName(key))
			if s.pedal && c.tower.Manual.Has(s.key) {
				advice += ", or play it by hand"
			}
		}
		f.Text = fmt.Sprintf("%s has %s; %s", s.tone.First().Pitch, f.What, advice)
		c.find(s, f)
	}
}

// nearest is the key of the same name nearest to a stroke's, on its keyboard.
func (c *checker) nearest(s *struck) (int, bool) {
	for octaves := 1; octaves <= 10; octaves++ {
		for _, key := range []int{s.key + 12*octaves, s.key - 12*octaves} {
			if c.keys(s.pedal).Has(key) {
				return key, true
			}
		}
	}
	return 0, false
}

// playable gives every stroke its limb and finds what none can play.
func (c *checker) playable(all []struck) {
	var strokes []playing.Stroke
	var of []int // the indexes of strokes in all
	for i := range all {
		if s := &all[i]; !s.missing {
			strokes = append(strokes, playing.Stroke{At: s.at, Key: s.key, Pedal: s.pedal, Wants: c.wants(s)})
			of = append(of, i)
		}
	}
	a := c.player.Assign(strokes)
	for k, i := range of {
		all[i].limb = a.Limbs[k]
	}
	for _, p := range a.Problems {
		keys := make([]string, len(p.Strokes))
		for k, n := range p.Strokes {
			keys[k] = score.KeyName(strokes[n].Key)
		}
		f := Finding{Category: Unplayable, What: p.Reason.String(), Value: p.Value, Limit: p.Limit, Unit: unit(p.Reason)}
		if p.Reason == playing.Repeated || p.Reason == playing.Leap {
			f.Category = TooFast
		}
		last := p.Strokes[len(p.Strokes)-1]
		f.Text = problemText(p, strokes, keys)
		c.find(&all[of[last]], f)
	}
	c.difficulty(all, &a)
}

// wants is the hand that a note of the manual is written for: stems up are the
// right hand's, stems down the left one's, where one staff is for both (common
// practice, no source).
func (c *checker) wants(s *struck) playing.Limb {
	switch stem := s.tone.First().Stem; {
	case s.pedal:
		return playing.Nobody
	case stem == score.StemUp:
		return playing.RightHand
	case stem == score.StemDown:
		return playing.LeftHand
	}
	return playing.Nobody
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
func problemText(p playing.Problem, strokes []playing.Stroke, keys []string) string {
	last := len(keys) - 1
	who, limbs := p.Limb.String(), "hands"
	if p.Pedals {
		limbs = "feet"
	}
	distinct := strings.Join(slices.Compact(slices.Clone(keys)), " ")
	switch p.Reason {
	case playing.TooMany:
		if p.Limb == playing.Nobody {
			who = "the " + limbs
			if p.Limit > 4 {
				who = "hands and feet together"
			}
		}
		return fmt.Sprintf("%s: %.0f notes for %s, %.0f is the most: leave out %.0f", distinct, p.Value, the(who), p.Limit, p.Value-p.Limit)
	case playing.TooWide:
		return fmt.Sprintf("%s: %.0f mm in the %s, which reaches %.0f: bring them closer or leave one out", distinct, p.Value, who, p.Limit)
	case playing.TooFarApart:
		return fmt.Sprintf("%s: the %s are %.0f mm apart, %.0f is the most: bring them closer", distinct, limbs, p.Value, p.Limit)
	case playing.Moving:
		return fmt.Sprintf("%s: several notes in the %s with %.2f s from stroke to stroke, which takes %.2f: leave notes out or play slower",
			distinct, who, p.Value, p.Limit)
	case playing.TooSoon:
		return fmt.Sprintf("the %s has %.2f s from %s to %s and needs %.2f: leave out strokes, move them closer or play slower",
			who, p.Value, from(p, strokes, keys), keys[last], p.Limit)
	case playing.Repeated:
		return fmt.Sprintf("%s comes again after %.2f s, its clapper needs %.2f: fewer strokes, or every other one in another octave",
			keys[last], p.Value, p.Limit)
	case playing.Leap:
		return fmt.Sprintf("the %s leaps %.0f mm to %s, quick leaps over %.0f are hard: move them closer or give them to both hands",
			who, p.Value, keys[last], p.Limit)
	}
	return p.Reason.String()
}

func the(who string) string {
	if strings.HasPrefix(who, "left") || strings.HasPrefix(who, "right") {
		return "the " + who
	}
	return who
}

// from is the key or keys that a limb comes from.
func from(p playing.Problem, strokes []playing.Stroke, keys []string) string {
	var before []string
	for k, n := range p.Strokes {
		if strokes[n].At < strokes[p.Strokes[len(p.Strokes)-1]].At {
			before = append(before, keys[k])
		}
	}
	return strings.Join(slices.Compact(before), " ")
}
