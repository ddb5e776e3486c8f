package harmony

import "undersong/score"

// slice is a stretch of time with one chord: a beat, or a part of one.
type slice struct {
	from, to  score.Time
	start     start
	share     float64     // of its beat
	freshBass bool        // at the start and in the middle of a measure
	weights   [12]float64 // how much of the slice each class sounds, at most 1
	accomp    [12]float64 // the same without the melody
	names     [12]score.Pitch
	there     Classes // that sound at all
	rings     Classes // there, or before in the same measure, as strings and bells ring on
	bass      int     // class of the lowest note, -1 of none
	low       int     // its MIDI number
	lowTune   bool    // it is the melody's
}

// start is where in its measure a slice begins.
type start int

const (
	ofMeasure start = iota
	ofHalf          // in the middle of a measure with an even number of beats, four at least
	ofBeat
	inBeat
)

// slicesOf tells what sounds in each slice of a score.
func slicesOf(s *score.Score, tones []score.Tone, melody []int) []slice {
	slices := cut(s, tones)
	tune := make([]bool, len(tones))
	for _, i := range melody {
		tune[i] = true
	}
	first := 0
	for i := range tones {
		t := &tones[i]
		for first < len(slices) && !t.Onset.Less(slices[first].to) {
			first++
		}
		if !t.First().Plays() || t.First().Grace {
			continue
		}
		for k := first; k < len(slices) && slices[k].from.Less(t.End()); k++ {
			slices[k].add(t, tune[i])
		}
	}
	for i := range slices {
		slices[i].rings = slices[i].there
		if slices[i].start != ofMeasure {
			slices[i].rings |= slices[i-1].rings
		}
	}
	return slices
}

// tuneWeight is the weight of a melody's note, which may be foreign to the
// chord; the project's own figure.
const tuneWeight = 0.5

func (s *slice) add(t *score.Tone, tune bool) {
	sounds := score.Min(t.End(), s.to).Sub(score.Max(t.Onset, s.from))
	part := sounds.Quarters() / s.to.Sub(s.from).Quarters()
	class := t.Pitch.Class()
	if tune {
		s.weights[class] = min(1, s.weights[class]+tuneWeight*part)
	} else {
		s.weights[class] = min(1, s.weights[class]+part)
		s.accomp[class] = min(1, s.accomp[class]+part)
	}
	if !s.there.Has(class) {
		s.there = s.there.With(class)
		s.names[class] = score.Pitch{Step: t.Pitch.Step, Alter: t.Pitch.Alter}
	}
	if pitch := t.Pitch.MIDI(); s.bass < 0 || pitch < s.low {
		s.bass, s.low, s.lowTune = class, pitch, tune
	}
}

// cut divides a score into its beats, and a beat where a full chord is struck
// inside it after another one.
func cut(s *score.Score, tones []score.Tone) []slice {
	starts := s.Starts()
	all := s.Beats()
	inside := chordsInside(tones)
	count := 0
	for _, beats := range all {
		count += len(beats)
	}
	slices := make([]slice, 0, count+len(inside))
	for m := range all {
		beats := beatsOf(all[m], starts[m], starts[m+1])
		for i, from := range beats {
			to := starts[m+1]
			if i+1 < len(beats) {
				to = beats[i+1]
			}
			at := ofBeat
			switch n := len(beats); {
			case i == 0:
				at = ofMeasure
			case n >= 4 && n%2 == 0 && 2*i == n:
				at = ofHalf
			}
			slices, inside = appendBeat(slices, inside, from, to, at)
		}
	}
	return slices
}

// beatsOf are the onsets of the beats of a measure; one that is longer than
// its time signature says, or has none, is counted on in quarters.
func beatsOf(lengths []score.Time, from, end score.Time) []score.Time {
	var beats []score.Time
	for i := 0; from.Less(end); i++ {
		beats = append(beats, from)
		length := score.Quarter
		if i < len(lengths) {
			length = lengths[i]
		}
		from = from.Add(length)
	}
	return beats
}

// fullChord is of how many pitch classes a chord is full.
const fullChord = 3

// chordsInside are the moments at which full chords are struck, in order.
func chordsInside(tones []score.Tone) []score.Time {
	var all []score.Time
	for i := 0; i < len(tones); {
		var set Classes
		at := tones[i].Onset
		for ; i < len(tones) && tones[i].Onset == at; i++ {
			if n := tones[i].First(); n.Plays() && !n.Grace {
				set = set.With(tones[i].Pitch.Class())
			}
		}
		if set.Count() >= fullChord {
			all = append(all, at)
		}
	}
	return all
}

// appendBeat appends the slices of one beat: one, or where the beat itself
// opens with a full chord one for each that is struck in it. It returns the
// chords that are struck later.
func appendBeat(slices []slice, chords []score.Time, from, to score.Time, at start) ([]slice, []score.Time) {
	length := to.Sub(from).Quarters()
	next := slice{from: from, start: at, freshBass: at <= ofHalf, bass: -1}
	opens := false
	for ; len(chords) > 0 && chords[0].Less(to); chords = chords[1:] {
		c := chords[0]
		if opens && from.Less(c) {
			next.to, next.share = c, c.Sub(next.from).Quarters()/length
			slices = append(slices, next)
			next = slice{from: c, start: inBeat, bass: -1}
		}
		opens = opens || c == from
	}
	next.to, next.share = to, to.Sub(next.from).Quarters()/length
	return append(slices, next), chords
}
