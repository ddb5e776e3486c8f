package check

import (
	"cmp"
	"math"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/playing"
)

// struck is a note as it is struck.
type struck struct {
	tone    *score.Tone
	index   int // of the tone
	measure int
	key     int // as written
	pedal   bool
	at      float64 // in s
	level   instrument.Dynamic
	melody  bool
	missing bool // there is no key
	limb    playing.Limb
}

// pitch is the key by its name as written.
func (s *struck) pitch() score.Pitch { return s.tone.First().Pitch }

// line is where the stroke is written.
func (s *struck) line() line {
	n := s.tone.First()
	return line{s.tone.Part, n.Staff, n.Voice}
}

// spreadStep is how long after the one before it, in seconds, a note of a chord with an
// arpeggio mark is struck: the project's own figure.
const spreadStep = 0.15

// strikes are all notes that the player strikes, in time order. Cue and hidden
// notes are not.
func (c *checker) strikes(tones []score.Tone, keyboards []Keyboard) []struck {
	pedals := map[[2]int]bool{}
	for _, k := range keyboards {
		pedals[[2]int{k.part, k.Staff}] = k.Pedals
	}
	c.levels = levelsOf(c.score, c.starts)
	var all []struck
	for i := range tones {
		t := &tones[i]
		n := t.First()
		if !n.Plays() {
			continue
		}
		s := struck{
			tone: t, index: i, measure: t.Pieces[0].Measure, key: n.Pitch.MIDI(), pedal: pedals[[2]int{t.Part, n.Staff}],
			at: c.clock.Seconds(t.Onset), level: c.levels.at(t),
		}
		s.missing = !c.keys(s.pedal).Has(s.key)
		all = append(all, s)
	}
	c.spread(all)
	c.grace(all)
	slices.SortStableFunc(all, func(x, y struck) int { return cmp.Or(cmp.Compare(x.at, y.at), cmp.Compare(x.key, y.key)) })
	return all
}

func (c *checker) keys(pedal bool) instrument.Compass {
	if pedal {
		return c.tower.Pedals
	}
	return c.tower.Manual
}

// runs cuts strokes, sorted by onset, where the onset changes.
func runs(all []struck) [][]struck {
	var cut [][]struck
	for from := 0; from < len(all); {
		to := from + 1
		for to < len(all) && all[to].tone.Onset == all[from].tone.Onset {
			to++
		}
		cut = append(cut, all[from:to])
		from = to
	}
	return cut
}

// spread strikes the notes of chords with an arpeggio mark one after another,
// the lowest on the beat. Where the next stroke leaves no time for that, they
// are struck together.
func (c *checker) spread(all []struck) {
	cut := runs(all)
	for i, run := range cut {
		var rolled []*struck
		for k := range run {
			if n := run[k].tone.First(); !n.Grace && marked(n, "arpeggiate") {
				rolled = append(rolled, &run[k])
			}
		}
		if i+1 < len(cut) && cut[i+1][0].at-run[0].at <= spreadStep*float64(len(rolled)) {
			continue
		}
		slices.SortStableFunc(rolled, func(x, y *struck) int { return cmp.Compare(x.key, y.key) })
		step := 0
		for k, s := range rolled {
			if k > 0 && s.key != rolled[k-1].key {
				step++
			}
			s.at += spreadStep * float64(step)
		}
	}
}

func marked(n *score.Note, name string) bool {
	return slices.ContainsFunc(n.Marks, func(m score.Mark) bool { return m.Name == name })
}

// grace strikes grace notes before what they lead to.
func (c *checker) grace(all []struck) {
	before := math.Inf(-1)
	for _, run := range runs(all) {
		at := c.clock.Seconds(run[0].tone.Onset)
		var joins []bool
		for _, s := range run {
			if n := s.tone.First(); n.Grace { // they come first
				joins = append(joins, n.GraceChord)
			}
		}
		for k, struck := range playing.Graces(before, at, joins) {
			run[k].at = struck
		}
		before = at
	}
}
