package voicing

import (
	"fmt"
	"slices"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/lead"
	"undersong/voicing/ringing"
)

// TestHarmonyKept: of the beats of a score in which the source strikes a third or a
// seventh of the chord that can be struck at this tower, and two notes are available, at
// least 95 in a hundred have it in the result, and nothing is struck in a beat that the
// source does not have in it. The chord is that of package harmony.
func TestHarmonyKept(t *testing.T) {
	for _, name := range []string{"23", "35", "47", "61"} {
		tower, err := instrument.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range Voicings() {
			t.Run(fmt.Sprint(name, " ", v), func(t *testing.T) {
				beats, kept := 0, 0
				eachScore(t, func(t *testing.T, s *score.Score) {
					result, report, err := Voice(s, Options{Tower: tower, Voicing: v})
					if err != nil {
						t.Fatal(err)
					}
					b, k := harmonyKept(t, s, result, report, tower, v)
					if 100*k < 95*b {
						t.Errorf("third or seventh kept in %d of %d beats, fewer than 95 in a hundred", k, b)
					}
					beats, kept = beats+b, kept+k
				})
				t.Logf("third or seventh kept in %d of %d beats, %.1f %%", kept, beats, 100*float64(kept)/float64(beats))
			})
		}
	}
}

// harmonyKept counts the thirds and sevenths of the source's beats that can be struck,
// and how many of them are.
func harmonyKept(t *testing.T, s, result *score.Score, report *Report, tower *instrument.Tower, v Voicing) (beats, kept int) {
	a := newArrangement(s, Options{Tower: tower, Voicing: v})
	source, there := a.sourceBeats(), map[score.Time]harmony.Classes{}
	allowed := map[score.Time]harmony.Classes{}
	for beat, b := range source {
		allowed[beat] = b.classes
	}
	if lead.Sheet(s, s.Tones()) {
		a.addSymbols(allowed)
	}
	var melody, pedals []score.Tone // of the result
	for _, tone := range result.Tones() {
		if tone.First().Grace {
			continue
		}
		beat, class := a.beatStart(tone.Onset), tone.First().Pitch.Class()
		if report.Tune(&tone) {
			melody = append(melody, tone)
		} else if tone.First().Staff == 2 {
			pedals = append(pedals, tone)
		}
		there[beat] = there[beat].With(class)
		if !allowed[beat].Has(class) {
			t.Errorf("at %s a pitch class is struck that the source has not in the beat: %s", tone.Onset, tone.First().Pitch)
		}
	}
	for beat, b := range source {
		if len(b.roots) != 1 || b.classes.Count() < 2 && there[beat].Count() < 2 {
			continue
		}
		for class, strokes := range b.strokes {
			rank := rankIn(class, a.chordAt(beat).Chord)
			switch {
			case rank != third && rank != seventh:
			case there[beat].Has(class):
				beats, kept = beats+1, kept+1
			case a.available(v, class, strokes, melody, pedals):
				beats++
				t.Logf("the %s of the beat at %s is lost", rank, beat)
			}
		}
	}
	return beats, kept
}

// sourceBeat is what the source strikes in a beat.
type sourceBeat struct {
	classes harmony.Classes
	roots   map[int]bool         // of its chords
	strokes map[int][]score.Time // of each pitch class
}

func (a *arrangement) sourceBeats() map[score.Time]*sourceBeat {
	beats := map[score.Time]*sourceBeat{}
	for _, n := range a.notes {
		if n.grace() || !n.First().Plays() {
			continue
		}
		beat, class := a.beatStart(n.Onset), n.Pitch.Class()
		if beats[beat] == nil {
			beats[beat] = &sourceBeat{roots: map[int]bool{}, strokes: map[int][]score.Time{}}
		}
		b := beats[beat]
		b.classes = b.classes.With(class)
		b.roots[a.rootAt(n.Onset)] = true
		b.strokes[class] = append(b.strokes[class], n.Onset)
	}
	return beats
}

// addSymbols adds the tones of the chord symbols to what the source has in
// each beat: a lead sheet's accompaniment is made of them.
func (a *arrangement) addSymbols(source map[score.Time]harmony.Classes) {
	for _, beat := range a.source.BeatStarts() {
		_, end := a.beatAround(beat)
		for _, h := range a.harmony {
			if h.Given && h.From.Less(end) && beat.Less(h.To) {
				source[beat] |= harmony.ClassesOf(h.Chord)
			}
		}
	}
}

// available tells whether the tower has a key of a pitch class for one of the moments at
// which the source strikes it, on the side of the melody where the voicing has its
// accompaniment: under it, or over it and not below middle C ("manual writing rarely
// ventures below", J. Gouwens, "Playing the Carillon", App. B), so that it makes no major
// third with it whose lower bell is below middle C (T. Gurin, GCNA Bulletin 71;
// Rensselaer) nor with a bass that rings from before, and does not lie under that: what
// the feet of the result strike excuses its hands. On a small tower there is none under a
// low melody and none over a high one.
func (a *arrangement) available(v Voicing, class int, moments []score.Time, melody, pedals []score.Tone) bool {
	for _, at := range moments {
		low, high := 128, -1 // of the melody then
		for _, tone := range melody {
			if key := tone.First().Pitch.MIDI(); !at.Less(tone.Onset) && at.Less(tone.End()) {
				low, high = min(low, key), max(high, key)
			}
		}
		bass := a.bassBefore(at, pedals)
		for key := range a.tower.Manual.Keys() {
			if bass > 0 && (key < bass || key-bass == 4 && bass < 60) {
				continue
			}
			clear := key >= 60 && key > high && (key-high != 4 || high >= 60)
			if v == Plain {
				clear = key < low && (low-key != 4 || key >= 60)
			}
			if key%12 == class && clear {
				return true
			}
		}
	}
	return false
}

// bassBefore is the lowest key that the feet of the result struck last before a moment, if
// it is loud there still; 0 of none. It counts where they strike again then, too.
func (a *arrangement) bassBefore(at score.Time, pedals []score.Tone) (key int) {
	struck := slices.IndexFunc(pedals, func(tone score.Tone) bool { return !tone.Onset.Less(at) })
	if struck < 0 {
		struck = len(pedals)
	}
	for _, tone := range slices.Backward(pedals[:struck]) {
		low := tone.First().Pitch.MIDI()
		if tone.Onset != pedals[struck-1].Onset {
			break
		}
		if loud := a.clock.Seconds(at)-a.clock.Seconds(tone.Onset) < ringing.Loud(a.tower, low); loud && (key == 0 || low < key) {
			key = low
		}
	}
	return key
}
