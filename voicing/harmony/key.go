package harmony

import (
	"cmp"
	"math"
	"slices"

	"undersong/score"
)

// Key is a key.
type Key struct {
	Fifths int // sharps of its signature, flats below zero: -6 to 6
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

// KeyFit is how well a key fits.
type KeyFit struct {
	Key
	Correlation float64 // of the pitch classes with the key's profile, -1 to 1
}

// profiles are how well each of the twelve pitch classes, from the tonic up,
// fits into a major and a minor key, as listeners rated them: C. L. Krumhansl
// and E. J. Kessler, "Tracing the dynamic changes in perceived tonal
// organization", Psychological Review 89 (1982).
var profiles = [2][12]float64{
	{6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88},
	{6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17},
}

// Keys are all 24 keys, the one first whose profile the durations of the
// pitch classes, C first, correlate with best: the method of C. L. Krumhansl
// and M. A. Schmuckler (Krumhansl, "Cognitive Foundations of Musical Pitch",
// 1990, ch. 4).
func Keys(durations [12]float64) []KeyFit {
	var fits []KeyFit
	for mode := range profiles {
		for fifths := -6; fifths < 6; fifths++ {
			k := Key{fifths, mode == 1}
			var rotated [12]float64
			for i := range rotated {
				rotated[i] = durations[(i+k.Tonic().Class())%12]
			}
			fits = append(fits, KeyFit{k, correlation(rotated, profiles[mode])})
		}
	}
	slices.SortStableFunc(fits, func(a, b KeyFit) int { return cmp.Compare(b.Correlation, a.Correlation) })
	return fits
}

func correlation(x, y [12]float64) float64 {
	var mx, my float64
	for i := range x {
		mx, my = mx+x[i]/12, my+y[i]/12
	}
	var xy, xx, yy float64
	for i := range x {
		xy += (x[i] - mx) * (y[i] - my)
		xx += (x[i] - mx) * (x[i] - mx)
		yy += (y[i] - my) * (y[i] - my)
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return xy / math.Sqrt(xx*yy)
}

// signatureWorth is how much correlation a key is worth whose signature the
// score has, and lastBassWorth one on whose tonic the piece ends in the bass:
// the project's own figures. A profile alone takes a key for its dominant or
// its relative now and then.
const (
	signatureWorth = 0.25
	lastBassWorth  = 0.1
)

// FindKey is the key of a score, whose tones are s.Tones(), and the next
// likely one: by [Keys] over all that sounds, by the key signature that is in
// force longest, and by the last bass note.
func FindKey(s *score.Score, tones []score.Tone) (key, next KeyFit) {
	var durations [12]float64
	for i := range tones {
		if t := &tones[i]; t.First().Plays() {
			durations[t.Pitch.Class()] += t.Length.Quarters()
		}
	}
	signature, bass := mainSignature(s), lastBass(tones)
	worth := func(f KeyFit) float64 {
		w := f.Correlation
		if signature != nil && (f.Fifths-*signature)%12 == 0 {
			w += signatureWorth
		}
		if f.Tonic().Class() == bass {
			w += lastBassWorth
		}
		return w
	}
	fits := Keys(durations)
	slices.SortStableFunc(fits, func(a, b KeyFit) int { return cmp.Compare(worth(b), worth(a)) })
	if signature != nil {
		for i := range fits[:2] { // spelled as the score has it: 6 flats or 6 sharps
			if d := fits[i].Fifths - *signature; d == 12 || d == -12 {
				fits[i].Fifths = *signature
			}
		}
	}
	return fits[0], fits[1]
}

// mainSignature is the number of sharps in force longest at concert pitch, nil
// where the score has no signature.
func mainSignature(s *score.Score) *int {
	starts := s.Starts()
	for _, p := range s.Parts {
		longest := map[int]float64{}
		var now *int
		by := 0
		for i, m := range p.Measures {
			for _, t := range m.Transposes {
				by = 7*t.Semitones - 12*t.Letters
			}
			for _, k := range m.Keys {
				if !k.Key.Free {
					fifths := k.Key.Fifths + by
					now = &fifths
				}
			}
			if now != nil {
				longest[*now] += starts[i+1].Sub(starts[i]).Quarters()
			}
		}
		if now == nil {
			continue
		}
		best := *now
		for fifths := -20; fifths <= 20; fifths++ {
			if longest[fifths] > longest[best] {
				best = fifths
			}
		}
		for best > 7 {
			best -= 12
		}
		for best < -7 {
			best += 12
		}
		return &best
	}
	return nil
}

// lastBass is the pitch class of the lowest of the last notes struck, -1 of
// none.
func lastBass(tones []score.Tone) int {
	for i := len(tones) - 1; i >= 0; i-- {
		if !tones[i].First().Plays() || tones[i].First().Grace {
			continue
		}
		lowest := tones[i].Pitch
		for j := i; j >= 0 && tones[j].Onset == tones[i].Onset; j-- {
			if tones[j].First().Plays() && tones[j].Pitch.MIDI() < lowest.MIDI() {
				lowest = tones[j].Pitch
			}
		}
		return lowest.Class()
	}
	return -1
}
