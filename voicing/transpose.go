package voicing

import (
	"fmt"
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
)

// farthestKey is how far a score is transposed at most by itself, in
// semitones: up to a tritone reaches every key.
const farthestKey = 6

// interval is so many semitones, spelled so that a key of so many sharps gets a
// signature of as few sharps or flats as can be.
func interval(semitones, sharps int) score.Transposition {
	by := score.Transposition{Semitones: semitones}
	best := 100
	for letters := -7; letters <= 7; letters++ {
		if to := sharps + 7*semitones - 12*letters; abs(to) < abs(best) {
			best, by.Letters = to, letters
		}
	}
	return by
}

// transposed is s as it sounds so many semitones away, each key spelled anew.
// What is written stays, as for a transposing instrument; s is not changed.
func transposed(s *score.Score, semitones int) *score.Score {
	out := *s
	out.Parts = nil
	for _, p := range s.Parts {
		q := *p
		q.Measures = slices.Clone(p.Measures)
		var was score.Transposition // the source's own
		sharps := 0                 // at concert pitch
		for i, m := range q.Measures {
			if i > 0 && len(m.Transposes) == 0 && len(m.Keys) == 0 {
				continue
			}
			was = transpositionAfter(m, was)
			for _, k := range m.Keys {
				if k.Staff <= 1 && !k.Key.Free {
					sharps = fifths(was, k.Key.Fifths)
				}
			}
			by := interval(semitones, sharps)
			c := *m
			c.Transposes = []score.TransposeChange{{Transposition: score.Transposition{
				Letters: was.Letters + by.Letters, Semitones: was.Semitones + by.Semitones,
			}}}
			for _, t := range m.Transposes {
				if t.Staff > 1 || t.Onset.Sign() > 0 {
					t.Letters, t.Semitones = t.Letters+by.Letters, t.Semitones+by.Semitones
					c.Transposes = append(c.Transposes, t)
				}
			}
			q.Measures[i] = &c
		}
		out.Parts = append(out.Parts, &q)
	}
	return &out
}

// trouble is how badly the melody sits on the tower: what its placing found
// wrong, and notes that their own limb cannot play.
func (a *arrangement) trouble() int {
	sum := 0
	for _, f := range a.report.Findings {
		if f.Pass == (placeMelody{}).Name() {
			sum += 3
		}
	}
	for _, n := range a.with(tune) {
		if n.home != n.way.melody[0] {
			sum++
		}
	}
	return sum
}

// otherKeys tries the melody of a score in other keys.
type otherKeys struct {
	*arrangement
	tune []*note
	here []note // the same, as they are in the key of the score
}

func newOtherKeys(s *score.Score, line melody.Line, o Options, f *figures) *otherKeys {
	k := &otherKeys{arrangement: arrangementOf(s, o, f, s.Tones(), line)}
	setAside{}.Apply(k.arrangement)
	k.tune = k.with(tune)
	for _, n := range k.tune {
		k.here = append(k.here, *n)
	}
	return k
}

// troubleIn is the trouble of the melody some semitones away.
func (k *otherKeys) troubleIn(semitones int) int {
	by := interval(semitones, 0)
	for i, n := range k.tune {
		*n = k.here[i]
		n.Pitch = n.Pitch.Transpose(by.Letters, by.Semitones)
	}
	k.report, k.pass = &Report{}, placeMelody{}.Name()
	placeMelody{}.Apply(k.arrangement)
	return k.trouble()
}

// best is the transposition in semitones, the nearest of equal ones, in which the
// melody sits best, and how much better than here.
func (k *otherKeys) best(here int) (semitones, better int) {
	least := here
	for d := 1; d <= farthestKey && least > 0; d++ {
		for _, by := range []int{-d, d} {
			if t := k.troubleIn(by); t < least {
				semitones, least = by, t
			}
		}
	}
	return semitones, here - least
}

// worthSaying tells whether another key saves enough trouble to be mentioned: a
// third of what there is here, and more than three notes'. The project's own
// figures.
func worthSaying(saved, here int) bool { return saved > 3 && 3*saved >= here }

// suggestKey adds a finding where another key of s, the source with this line,
// would save much.
func (a *arrangement) suggestKey(s *score.Score, line melody.Line, o Options) {
	here := a.trouble()
	if !worthSaying(here, here) {
		return // however much is saved
	}
	by, saved := newOtherKeys(s, line, o, a.figures).best(here)
	if by == 0 || !worthSaying(saved, here) {
		return
	}
	a.report.BetterKey = by
	direction := "up"
	if by < 0 {
		direction = "down"
	}
	a.report.Findings = append(a.report.Findings, Finding{Pass: "transpose", Text: fmt.Sprintf(
		"%s %s the melody would sit better: --transpose %d", score.Count(abs(by), "semitone"), direction, by)})
}
