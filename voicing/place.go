package voicing

import (
	"cmp"
	"fmt"
	"slices"

	"undersong/score"
)

// PlaceMelody puts the melody on a keyboard by whole octaves, Octaves away
// where that fits, one move for a whole phrase.
type PlaceMelody struct {
	On      Keyboard
	Octaves int
}

// Name is "place melody".
func (PlaceMelody) Name() string { return "place melody" }

// Apply implements [Pass].
func (p PlaceMelody) Apply(a *Arrangement) {
	a.melodyOn = p.On
	line := a.with(Melody)
	a.placeLine(line, p.On, octaveChoice{
		want: p.Octaves,
		fits: func(n *Note, octaves int) bool { return a.keys(p.On).Has(n.Pitch.MIDI() + 12*octaves) },
	})
	a.tellBreaks(chords(line))
}

// tellBreaks reports where the melody changes its octave inside a phrase, and
// the first key for want of which it could not go on, or could not begin, in
// the other one.
func (a *Arrangement) tellBreaks(strikes [][]*Note) {
	for i := 1; i < len(strikes); i++ {
		before, after := strikes[i-1][0], strikes[i][0]
		if before.Octaves == after.Octaves || breath(strikes[i-1], strikes[i]) {
			continue
		}
		why := ""
		if p, missing := a.wanting(phraseFrom(strikes, i), before.Octaves); missing {
			why = fmt.Sprintf(": the %s have no %s", a.melodyOn.plural(), p)
		} else if p, missing := a.wanting(phraseUpTo(strikes, i), after.Octaves); missing {
			why = fmt.Sprintf(": the %s have no %s", a.melodyOn.plural(), p)
		}
		a.finding(after, "the melody changes its octave inside a phrase%s", why)
	}
}

// wanting is the first pitch that has no key when all of these move alike.
func (a *Arrangement) wanting(strikes [][]*Note, octaves int) (score.Pitch, bool) {
	for _, strike := range strikes {
		for _, n := range strike {
			if p := n.Pitch.Octaves(octaves); !a.keys(a.melodyOn).Has(p.MIDI()) {
				return p, true
			}
		}
	}
	return score.Pitch{}, false
}

// phraseFrom is the rest of the phrase that strike i is in, phraseUpTo what of
// it comes before.
func phraseFrom(strikes [][]*Note, i int) [][]*Note {
	end := i + 1
	for end < len(strikes) && !breath(strikes[end-1], strikes[end]) {
		end++
	}
	return strikes[i:end]
}

func phraseUpTo(strikes [][]*Note, i int) [][]*Note {
	start := i - 1
	for start > 0 && !breath(strikes[start-1], strikes[start]) {
		start--
	}
	return strikes[start:i]
}

// PlaceBass makes the lowest note struck on each beat the bass and puts it on
// the pedals, where it was in the source if the pedals reach there. What comes
// after the beat is left to the hands: a busy pedal part on heavy bells is to
// be avoided (Flemish Carillon Association, composing guide).
type PlaceBass struct{}

// Name is "place bass".
func (PlaceBass) Name() string { return "place bass" }

// bassTop is the highest note that is taken for a bass: middle C. The
// accompaniment of a passage that lies wholly above it has none.
const bassTop = 60

// Apply implements [Pass].
func (PlaceBass) Apply(a *Arrangement) {
	var last *Note
	for _, strike := range together(a.with(Accompaniment)) {
		lowest := slices.MinFunc(strike, func(n, o *Note) int { return cmp.Compare(n.Pitch.MIDI(), o.Pitch.MIDI()) })
		if lowest.Pitch.MIDI() > bassTop || a.beatStart(lowest.Onset) != lowest.Onset || a.afterBeat(last, lowest, len(strike)) {
			continue
		}
		lowest.Role, last = Bass, lowest
	}
	melody := a.melodyRanges()
	a.placeLine(a.with(Bass), Pedals, octaveChoice{
		fits: func(n *Note, octaves int) bool {
			key := n.Pitch.MIDI() + 12*octaves
			tune, sounds := melody[n.Onset]
			return a.Tower.Pedals.Has(key) && !(sounds && key >= tune.low)
		},
	})
}

// afterBeat tells whether n, the lowest of so many notes struck together, is
// no bass but the foot of a chord that answers one: a chord a fifth or more
// above the bass before it in the measure. That interval is the project's own.
func (a *Arrangement) afterBeat(bass, n *Note, struck int) bool {
	return bass != nil && struck > 1 && a.measureAt(bass.Onset) == a.measureAt(n.Onset) &&
		n.Pitch.MIDI()-bass.Pitch.MIDI() >= 7
}

// PlaceAccompaniment puts all that is neither melody nor bass on the manual,
// Octaves away where that fits: above the melody as it sounds, or Below it.
type PlaceAccompaniment struct {
	Octaves int
	Below   bool
}

// Name is "place accompaniment".
func (PlaceAccompaniment) Name() string { return "place accompaniment" }

// The lowest keys for the hands. Manual writing rarely ventures below middle
// C: heavier clappers are better moved by the foot (J. Gouwens, "Playing the
// Carillon", App. B). Under a melody in the hands there is often no room
// above it, so there a fifth more is allowed; that fifth is the project's own
// figure.
const (
	handsLow      = 60
	handsUnderLow = 53
)

// Apply implements [Pass].
func (p PlaceAccompaniment) Apply(a *Arrangement) {
	melody := a.melodyRanges()
	low := handsLow
	if p.Below {
		low = handsUnderLow
	}
	choice := octaveChoice{
		want: p.Octaves,
		fits: func(n *Note, octaves int) bool {
			key := n.Pitch.MIDI() + 12*octaves
			tune, sounds := melody[n.Onset]
			clear := !sounds || p.Below && key < tune.low || !p.Below && key > tune.high
			return clear && key >= low && a.Tower.Manual.Has(key)
		},
	}
	for _, line := range sourceVoices(a.with(Accompaniment)) {
		a.placeLine(line, Manual, choice)
	}
}

// placeLine chooses the octaves of a line and moves what still does not fit
// note by note, to the nearest octave, or leaves it out.
func (a *Arrangement) placeLine(line []*Note, on Keyboard, choice octaveChoice) {
	choice.choose(line)
	for _, n := range line {
		chosen := n.Octaves
		if !choice.fits(n, chosen) {
			var ok bool
			if n.Octaves, ok = choice.nearest(n); !ok {
				if n.Role == Melody {
					a.finding(n, "%s of the melody has no key on the %s in any octave", n.Pitch, on)
				}
				a.leaveOut(n, "no room for it in any octave")
				continue
			}
		}
		n.Keyboard = on
		a.moved(n)
	}
}

// nearest is the move closest to the wanted one that fits a single note.
func (c octaveChoice) nearest(n *Note) (octaves int, ok bool) {
	for d := range farthest + 1 {
		for _, o := range []int{c.want + d, c.want - d} {
			if c.fits(n, o) {
				return o, true
			}
		}
	}
	return 0, false
}

// sourceVoices parts notes into the voices they had in the source, in order.
func sourceVoices(notes []*Note) [][]*Note {
	type voice struct{ part, staff, voice int }
	lines := map[voice][]*Note{}
	var order []voice
	for _, n := range notes {
		v := voice{n.Part, n.First().Staff, n.First().Voice}
		if lines[v] == nil {
			order = append(order, v)
		}
		lines[v] = append(lines[v], n)
	}
	slices.SortFunc(order, func(a, b voice) int {
		return cmp.Or(cmp.Compare(a.part, b.part), cmp.Compare(a.staff, b.staff), cmp.Compare(a.voice, b.voice))
	})
	voices := make([][]*Note, len(order))
	for i, v := range order {
		voices[i] = lines[v]
	}
	return voices
}

// keyRange is the lowest and the highest of some keys.
type keyRange struct{ low, high int }

// melodyRanges are the keys of the melody that sound at each onset of the
// piece, where any do.
func (a *Arrangement) melodyRanges() map[score.Time]keyRange {
	ranges := map[score.Time]keyRange{}
	a.sweep(func(onset score.Time, sounding []*Note) {
		for _, n := range sounding {
			if n.Role != Melody || n.Grace() || n.Keyboard == Nowhere {
				continue
			}
			r, any := ranges[onset]
			if !any {
				r = keyRange{n.Key(), n.Key()}
			}
			ranges[onset] = keyRange{min(r.low, n.Key()), max(r.high, n.Key())}
		}
	})
	return ranges
}

// sweep visits every onset of the piece with all notes that sound then, as
// long as written in the source, those just struck among them. Cue and hidden
// notes are not heard.
func (a *Arrangement) sweep(visit func(onset score.Time, sounding []*Note)) {
	var sounding []*Note
	for i := 0; i < len(a.Notes); {
		onset := a.Notes[i].Onset
		sounding = slices.DeleteFunc(sounding, func(n *Note) bool { return !onset.Less(n.End()) })
		for ; i < len(a.Notes) && a.Notes[i].Onset == onset; i++ {
			if a.Notes[i].First().Plays() {
				sounding = append(sounding, a.Notes[i])
			}
		}
		if len(sounding) > 0 {
			visit(onset, sounding)
		}
	}
}
