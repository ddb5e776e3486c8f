package voicing

import (
	"fmt"
	"maps"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/lead"
	"undersong/voicing/ringing"
)

// TestHarmonyKept: of the beats in which the source strikes a third or a
// seventh of the chord and the result has room for two notes, at least 95 in a
// hundred have it in the result, and nothing is struck in a beat that the
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
					beats, kept = beats+b, kept+k
				})
				t.Logf("third or seventh kept in %d of %d beats, %.1f %%", kept, beats, 100*float64(kept)/float64(beats))
				if 100*kept < 95*beats && !testing.Short() { // the share is that of all scores
					t.Errorf("third or seventh kept in %d of %d beats, fewer than 95 in a hundred", kept, beats)
				}
			})
		}
	}
}

func harmonyKept(t *testing.T, s, result *score.Score, report *Report, tower *instrument.Tower, v Voicing) (beats, kept int) {
	a := newArrangement(s, Options{Tower: tower, Voicing: v})
	melody := map[score.Time]int{} // its key in each beat that leaves least room
	source, there := map[score.Time]harmony.Classes{}, map[score.Time]harmony.Classes{}
	by := map[score.Time]map[int]bool{} // roots of a beat
	for _, n := range a.notes {
		if n.grace() || !n.First().Plays() {
			continue
		}
		beat := a.beatStart(n.Onset)
		source[beat] = source[beat].With(n.Pitch.Class())
		if by[beat] == nil {
			by[beat] = map[int]bool{}
		}
		by[beat][a.rootAt(n.Onset)] = true
	}
	allowed := maps.Clone(source)
	if lead.Sheet(s, s.Tones(), a.line.Tones) {
		a.addSymbols(allowed)
	}
	pedals := map[score.Time]int{} // the lowest key that the feet strike
	for _, tone := range result.Tones() {
		if key, any := pedals[tone.Onset]; tone.First().Staff == 2 && (!any || tone.First().Pitch.MIDI() < key) {
			pedals[tone.Onset] = tone.First().Pitch.MIDI()
		}
		if !tone.First().Grace {
			beat := a.beatStart(tone.Onset)
			class := tone.First().Pitch.Class()
			if report.Tune(&tone) {
				key := tone.First().Pitch.MIDI()
				if was, any := melody[beat]; !any || v == Plain && key < was || v != Plain && key > was {
					melody[beat] = key
				}
			}
			there[beat] = there[beat].With(class)
			if !allowed[beat].Has(class) {
				t.Errorf("at %s a pitch class is struck that the source has not in the beat: %s", tone.Onset, tone.First().Pitch)
			}
		}
	}
	for beat, classes := range source {
		if len(by[beat]) != 1 || there[beat].Count() < 2 {
			continue
		}
		for range by[beat] {
			for class := range 12 {
				if r := rankIn(class, a.chordAt(beat).Chord); classes.Has(class) && (r == third || r == seventh) {
					beats++
					if there[beat].Has(class) {
						kept++
					} else if !a.available(class, melody[beat], a.bassUnder(beat, pedals), v) {
						beats--
					}
				}
			}
		}
	}
	return beats, kept
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

// bassUnder is the key that the feet strike last before the end of a beat, if it is
// loud there still; 0 of none.
func (a *arrangement) bassUnder(beat score.Time, pedals map[score.Time]int) (key int) {
	_, end := a.beatAround(beat)
	var last score.Time
	for at, low := range pedals {
		if at.Less(end) && !at.Less(last) && a.clock.Seconds(beat)-a.clock.Seconds(at) < ringing.Loud(a.tower, low) {
			last, key = at, low
		}
	}
	return key
}

// available tells whether the tower has a key of a pitch class where the
// accompaniment lies, under the melody or over it, and not under the bass, that
// makes no major third with either in the low bells; on a small tower there is none
// under a low melody and none over a high one.
func (a *arrangement) available(class, melody, bass int, v Voicing) bool {
	for key := range a.tower.Manual.Keys() {
		clear := key < melody && melody-key != 4
		if v != Plain {
			clear = key > melody && key >= handsLow
		}
		if key%12 == class && clear && key > bass && !(bass > 0 && instrument.RoughThird(bass, key)) {
			return true
		}
	}
	return false
}
