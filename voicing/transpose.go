package voicing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undersong/score"
	"undersong/voicing/harmony"
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

// foreign is how far the notes of a measure lie from the tonic of the key signature, in
// fifths and on the mean, if they are in another key that is written with accidentals: more
// than from a key to that of its minor third. The project's own figure.
const foreign = 6

// sharpsIn are the sharps of the key that a measure's notes are spelled in, that sound where
// it has notes so far from a key of so many that it is another one.
func sharpsIn(m *score.Measure, by score.Transposition, sharps int) int {
	sum, n := 0, 0
	for i := range m.Notes {
		if m.Notes[i].Kind == score.Pitched {
			sum += harmony.Fifths(m.Notes[i].Pitch.Transpose(by.Letters, by.Semitones))
			n++
		}
	}
	if n == 0 {
		return sharps
	}
	if tonic := int(math.Round(float64(sum)/float64(n))) - 2; abs(tonic-sharps) > foreign { // F to B are around D
		return tonic
	}
	return sharps
}

// transposed is s as it sounds so many semitones away, each key spelled anew, though only
// the notes of a measure say which it is.
// What is written stays, as for a transposing instrument; s is not changed.
func transposed(s *score.Score, semitones int) *score.Score {
	out := *s
	out.Parts = nil
	for _, p := range s.Parts {
		q := *p
		q.Measures = slices.Clone(p.Measures)
		var was score.Transposition  // the source's own
		var last score.Transposition // added to that
		sharps := 0                  // at concert pitch
		for i, m := range q.Measures {
			was = transpositionAfter(m, was)
			for _, k := range m.Keys {
				if k.Staff <= 1 && !k.Key.Free {
					sharps = fifths(was, k.Key.Fifths)
				}
			}
			by := interval(semitones, sharpsIn(m, was, sharps))
			if i > 0 && by == last && len(m.Transposes) == 0 && len(m.Keys) == 0 {
				continue
			}
			last = by
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

// otherKeys tries the melody of a score in other keys.
type otherKeys struct {
	*arrangement
	tune []*note
	here []note // the same, as they are in the key of the score
}

func newOtherKeys(s *score.Score, tones []score.Tone, line melody.Line, o Options, f *figures) *otherKeys {
	k := &otherKeys{arrangement: arrangementOf(s, o, f, tones, line)}
	k.setAside()
	k.tune = k.melody()
	for _, n := range k.tune {
		k.here = append(k.here, *n)
	}
	return k
}

// keyCost is what each semitone away costs for each note of the melody: a key that is
// hardly better is not worth leaving the written one for. The project's own figure.
const keyCost = 0.05

// costIn is what is wrong with the place of the melody some semitones away, and the way
// there.
func (k *otherKeys) costIn(semitones int) float64 {
	return k.placeIn(semitones).trouble + k.wayTo(semitones)
}

// wayTo is what it costs to go to a key so many semitones away.
func (k *otherKeys) wayTo(semitones int) float64 {
	return keyCost * float64(abs(semitones)*len(k.tune))
}

// placeIn places the melody some semitones away.
func (k *otherKeys) placeIn(semitones int) *placing {
	by := interval(semitones, 0)
	for i, n := range k.tune {
		*n = k.here[i]
		n.Pitch = n.Pitch.Transpose(by.Letters, by.Semitones)
	}
	k.report = &Report{}
	return k.placing()
}

// best is the transposition in semitones in which placing the melody costs least, the
// nearest of equal ones, and what it costs there.
func (k *otherKeys) best() (semitones int, cost float64) {
	cost = k.costIn(0)
	for d := 1; d <= farthestKey && k.wayTo(d) < cost; d++ {
		for _, by := range []int{-d, d} {
			if c := k.costIn(by); c < cost {
				semitones, cost = by, c
			}
		}
	}
	return semitones, cost
}

// worthSaying tells whether another key saves enough to be mentioned: a third of what
// there is here, or three changes of octave, and in any case more than one, or than half of
// a shorter melody an octave away from where it should be. The project's own figures.
func (a *arrangement) worthSaying(saved, here float64) bool {
	half := minded[offOctave].cost * float64(len(a.line.Tones)) / 2
	return saved > min(atBreathCost, half) && (3*saved >= here || saved > 3*atBreathCost)
}

// suggestKey adds a finding where another key of s, the source with these tones and this line,
// would save much.
func (a *arrangement) suggestKey(s *score.Score, tones []score.Tone, line melody.Line, o Options) {
	if !a.worthSaying(a.trouble, a.trouble) {
		return // however much is saved
	}
	keys := newOtherKeys(s, tones, line, o, a.figures)
	by, there := keys.best()
	if by == 0 || !a.worthSaying(a.trouble-there, a.trouble) {
		return
	}
	a.report.BetterKey = by
	direction := "up"
	if by < 0 {
		direction = "down"
	}
	a.report.Findings = append(a.report.Findings, Finding{Pass: "transpose", Text: fmt.Sprintf(
		"%s %s the melody would sit better%s: --transpose %d", score.Count(abs(by), "semitone"), direction, keys.price(by), by)})
}

// price is what is worse about the place of the melody some semitones away, for a finding.
func (k *otherKeys) price(semitones int) string {
	there, here := k.placeIn(semitones), k.placeIn(0)
	var worse []string
	if late := len(there.late()) - len(here.late()); late > 0 {
		worse = append(worse, score.Count(late, "more stroke")+" of it would come too soon")
	}
	if there.tempo > 0 && (here.tempo == 0 || there.tempo < here.tempo) {
		worse = append(worse, fmt.Sprintf("slower, at %.0f quarter notes a minute", there.tempo))
	}
	if len(worse) == 0 {
		return ""
	}
	return ", though " + strings.Join(worse, " and ")
}
