package voicing

import (
	"fmt"

	"undersong/score"
)

// farthestKey is how far a score is transposed at most by itself, in
// semitones: up to a tritone reaches every key.
const farthestKey = 6

// transposition is so many semitones, spelled so that the key signature in
// force at the beginning has as few sharps or flats as can be.
func transposition(s *score.Score, semitones int) score.Transposition {
	by := score.Transposition{Semitones: semitones}
	from := firstFifths(s)
	best := 100
	for letters := -7; letters <= 7; letters++ {
		to := from + 7*semitones - 12*letters
		if abs(to) < abs(best) {
			best, by.Letters = to, letters
		}
	}
	return by
}

// firstFifths is the first key signature at concert pitch, 0 of none.
func firstFifths(s *score.Score) int {
	for _, p := range s.Parts {
		if len(p.Measures) == 0 || len(p.Measures[0].Keys) == 0 || p.Measures[0].Keys[0].Key.Free {
			continue
		}
		by := transpositionAfter(p.Measures[0], score.Transposition{})
		return fifths(by, p.Measures[0].Keys[0].Key.Fifths)
	}
	return 0
}

// transposed is s as it sounds in another key. What is written stays, as for a
// transposing instrument; s is not changed.
func transposed(s *score.Score, by score.Transposition) *score.Score {
	out := *s
	out.Parts = nil
	for _, p := range s.Parts {
		q := *p
		q.Measures = append([]*score.Measure{}, p.Measures...)
		for i, m := range q.Measures {
			if i > 0 && len(m.Transposes) == 0 {
				continue
			}
			c := *m
			c.Transposes = nil
			if i == 0 && (len(m.Transposes) == 0 || m.Transposes[0].Onset.Sign() > 0 || m.Transposes[0].Staff > 0) {
				c.Transposes = append(c.Transposes, score.TransposeChange{Transposition: by})
			}
			for _, t := range m.Transposes {
				t.Letters, t.Semitones = t.Letters+by.Letters, t.Semitones+by.Semitones
				c.Transposes = append(c.Transposes, t)
			}
			q.Measures[i] = &c
		}
		out.Parts = append(out.Parts, &q)
	}
	return &out
}

// trouble is how badly the melody sits on the tower: notes without a key,
// places where a phrase breaks, and notes that their own limb cannot play.
func trouble(s *score.Score, o Options) int {
	a := newArrangement(s, o)
	setAside{}.Apply(a)
	before := len(a.report.Findings)
	placeMelody{}.Apply(a)
	sum := 3 * (len(a.report.Findings) - before)
	for _, n := range a.with(tune) {
		if n.seat != n.way.melody[0] {
			sum++
		}
	}
	return sum
}

// bestKey is the transposition in semitones, the nearest of equal ones, in
// which the melody sits best, and how much better than where it is.
func bestKey(s *score.Score, o Options) (semitones, better int) {
	here := trouble(s, o)
	least := here
	for d := 1; d <= farthestKey && least > 0; d++ {
		for _, by := range []int{-d, d} {
			if t := trouble(transposed(s, transposition(s, by)), o); t < least {
				semitones, least = by, t
			}
		}
	}
	return semitones, here - least
}

// worthSaying is from how much trouble saved another key is mentioned: a third
// of it, and more than one note's.
func worthSaying(saved, here int) bool { return saved > 3 && 3*saved >= here }

// suggestKey adds a finding where another key would save much.
func (a *arrangement) suggestKey(o Options) {
	here := trouble(a.source, o)
	if here == 0 {
		return
	}
	by, saved := bestKey(a.source, o)
	if by == 0 || !worthSaying(saved, here) {
		return
	}
	a.report.BetterKey = by
	direction := "up"
	if by < 0 {
		direction = "down"
	}
	a.report.Findings = append(a.report.Findings, Finding{Pass: "transpose", Text: fmt.Sprintf(
		"%s %s the melody would sit better: --transpose %d", plural(abs(by), "semitone"), direction, by)})
}
