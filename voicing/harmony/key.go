package harmony

import (
	"cmp"
	"math"
	"slices"

	"undersong/score"
)

// Key is a key.
type Key struct {
	Fifths int // sharps of its signature, flats below zero: -7 to 7
	Minor  bool
}

// Tonic is the first degree, of octave 0.
func (k Key) Tonic() score.Pitch {
	at := k.Fifths
	if k.Minor {
		at += 3
	}
	return onFifths(at)
}

// String is such as "Bb major" or "F# minor".
func (k Key) String() string {
	if k.Minor {
		return letter(k.Tonic()) + " minor"
	}
	return letter(k.Tonic()) + " major"
}

// Scale are the pitch classes of the key's scale, of a minor one with its
// leading note too.
func (k Key) Scale() Classes {
	var set Classes
	for p := k.Fifths - 1; p <= k.Fifths+5; p++ {
		set = set.With(onFifths(p).Class())
	}
	if k.Minor {
		set = set.With(onFifths(k.Fifths + 8).Class())
	}
	return set
}

// Spell is the name that a pitch class, 0 for C, has in the key: the one
// nearest to it on the circle of fifths. The octave is 0.
func (k Key) Spell(class int) score.Pitch {
	lowest := k.Fifths - 4 // C major has Ab to C#
	if k.Minor {
		lowest = k.Fifths - 2 // A minor has Bb to D#
	}
	for p := lowest; ; p++ {
		if (7*p%12+12)%12 == class {
			return onFifths(p)
		}
	}
}

// onFifths is a note by its place on the line of fifths, C at 0, G at 1.
func onFifths(at int) score.Pitch {
	const steps = "FCGDAEB"
	i := ((at+1)%7 + 7) % 7
	step, _ := score.ParseStep(steps[i : i+1])
	return score.Pitch{Step: step, Alter: score.Alter((at+1-i)/7) * score.Sharp}
}

// fifthsOf is the place of a note on the line of fifths.
func fifthsOf(p score.Pitch) int {
	return [...]int{score.C: 0, score.D: 2, score.E: 4, score.F: -1, score.G: 1, score.A: 3, score.B: 5}[p.Step] + 7*int(p.Alter)/int(score.Sharp)
}

// KeyFit is how well a key fits.
type KeyFit struct {
	Key
	Correlation float64 // of the pitch classes with the key's profile, -1 to 1
}

// profiles are how often each of the twelve pitch classes, from the tonic up,
// is there in a stretch of music in a major and a minor key: D. Temperley,
// "Music and Probability" (2007), table 6.1, counted in the examples of a
// harmony book (read in second sources). Of four published pairs of profiles
// they find most signatures in songs that the melody finder is fitted on: 89 of
// 100 with piano, 97 of 100 pop.
var profiles = [2][12]float64{
	{0.748, 0.060, 0.488, 0.082, 0.670, 0.460, 0.096, 0.715, 0.104, 0.366, 0.057, 0.400},
	{0.712, 0.084, 0.474, 0.618, 0.049, 0.460, 0.105, 0.747, 0.404, 0.067, 0.133, 0.330},
}

// Keys are all 24 keys, the one first whose profile the durations of the
// pitch classes, C first, correlate with best: the method of C. L. Krumhansl
// and M. A. Schmuckler (Krumhansl, "Cognitive Foundations of Musical Pitch",
// 1990, ch. 4). Of keys that fit alike those with fewer sharps or flats come
// first.
func Keys(durations [12]float64) []KeyFit {
	fits := make([]KeyFit, 0, 24)
	for mode := range profiles {
		for fifths := -6; fifths < 6; fifths++ {
			k := Key{fifths, mode == 1}
			fits = append(fits, KeyFit{k, k.correlation(durations)})
		}
	}
	slices.SortStableFunc(fits, func(a, b KeyFit) int {
		return cmp.Or(cmp.Compare(b.Correlation, a.Correlation), max(a.Fifths, -a.Fifths)-max(b.Fifths, -b.Fifths))
	})
	return fits
}

// correlation is that of durations with the profile of the key.
func (k Key) correlation(durations [12]float64) float64 {
	profile := &profiles[0]
	if k.Minor {
		profile = &profiles[1]
	}
	var turned [12]float64
	for i := range turned {
		turned[i] = durations[(i+k.Tonic().Class())%12]
	}
	return correlation(turned, *profile)
}

func correlation(x, y [12]float64) float64 {
	var mx, my float64
	for i := range x {
		mx, my = mx+x[i]/12, my+y[i]/12
	}
	var xy, xx, yy float64
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		xy += float64(dx * dy) // rounded alike on all machines
		xx += float64(dx * dx)
		yy += float64(dy * dy)
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return xy / math.Sqrt(xx*yy)
}

// What is worth some correlation besides, for a key; the project's own figures.
// A profile alone takes a key for its dominant or its relative now and then.
const (
	signatureWorth = 0.25 // the score has its signature
	minorWorth     = 0.1  // and says that it is a minor key's, which few say by default
	endWorth       = 0.05 // the bass begins on its tonic; and again, ends on it
)

// FindKey is the key of a score, whose tones are s.Tones(), and the next
// likely one: by [Keys] over all that sounds, by the key signature that is in
// force longest, and by the first and the last bass note.
func FindKey(s *score.Score, tones []score.Tone) (key, next KeyFit) {
	var durations [12]float64
	for i := range tones {
		if t := &tones[i]; t.First().Plays() {
			durations[t.Pitch.Class()] += t.Length.Quarters()
		}
	}
	signature, first, last := mainSignature(s), firstBass(tones), lastBass(tones)
	worth := func(f KeyFit) float64 {
		w := f.Correlation
		if signature != nil && (f.Fifths-signature.fifths)%12 == 0 {
			w += signatureWorth
			if signature.minor && f.Minor {
				w += minorWorth
			}
		}
		if f.Tonic().Class() == first {
			w += endWorth
		}
		if f.Tonic().Class() == last {
			w += endWorth
		}
		return w
	}
	fits := Keys(durations)
	slices.SortStableFunc(fits, func(a, b KeyFit) int { return cmp.Compare(worth(b), worth(a)) })
	near := meanFifths(tones)
	if signature != nil {
		near = float64(signature.fifths)
	}
	return fits[0].spelledNear(near), fits[1].spelledNear(near)
}

// spelledNear is f with sharps for flats or flats for sharps, if that has a
// signature nearer to one of so many sharps.
func (f KeyFit) spelledNear(sharps float64) KeyFit {
	for _, by := range []int{-12, 12} {
		if g := f.Fifths + by; -7 <= g && g <= 7 && math.Abs(float64(g)-sharps) < math.Abs(float64(f.Fifths)-sharps) {
			f.Fifths = g
		}
	}
	return f
}

// meanFifths is the signature in which most notes are natural: in C major they
// lie about D on the line of fifths.
func meanFifths(tones []score.Tone) float64 {
	sum := 0
	for i := range tones {
		sum += fifthsOf(tones[i].Pitch) - 2
	}
	return float64(sum) / float64(max(1, len(tones)))
}
