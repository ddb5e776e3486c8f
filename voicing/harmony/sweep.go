package harmony

import (
	"slices"

	"undersong/score"
)

// fullChord is of how many pitch classes a chord is full.
const fullChord = 3

// sweep goes through tones, which are in time order. full are the moments at which a full
// chord is struck, or two notes of a triad of which the rest is held; steps tells of each
// tone whether it is reached by step: from a tone of its part that ends where it begins,
// one or two semitones away.
func sweep(tones []score.Tone) (full []score.Time, steps []bool) {
	steps = make([]bool, len(tones))
	var sounding []ringing
	for first := 0; first < len(tones); {
		at := tones[first].Onset
		before := len(sounding)
		var struck Classes
		for ; first < len(tones) && tones[first].Onset == at; first++ {
			t := &tones[first]
			if !t.First().Plays() || t.First().Grace {
				continue
			}
			struck = struck.With(t.Pitch.Class())
			steps[first] = slices.ContainsFunc(sounding[:before], func(r ringing) bool { return r.end == at && stepTo(r.tone, t) })
			sounding = append(sounding, ringing{t, t.End()})
		}
		sounding = slices.DeleteFunc(sounding, func(r ringing) bool { return !at.Less(r.end) })
		_, triad := triadRoot(classesOf(sounding))
		if n := struck.Count(); n >= fullChord || n == fullChord-1 && triad {
			full = append(full, at)
		}
	}
	return full, steps
}

// ringing is a tone that sounds, and when it ends.
type ringing struct {
	tone *score.Tone
	end  score.Time
}

// stepTo tells whether it is a step from a to b, of one part.
func stepTo(a, b *score.Tone) bool {
	up := b.Pitch.MIDI() - a.Pitch.MIDI()
	return a.Part == b.Part && up != 0 && -2 <= up && up <= 2
}

func classesOf(sounding []ringing) (set Classes) {
	for _, r := range sounding {
		set = set.With(r.tone.Pitch.Class())
	}
	return set
}
