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
	opening   low     // note of those that sound when the accompaniment is first struck
	lowest    low     // note of all
	struck    bool    // a note of the accompaniment is, the first at struckAt
	struckAt  score.Time
}

// low is a lowest note.
type low struct {
	class int  // -1 of none
	pitch int  // MIDI number
	tune  bool // it is the melody's
}

func newSlice(from score.Time, at start) slice {
	none := low{class: -1}
	return slice{from: from, start: at, freshBass: at <= ofHalf, opening: none, lowest: none}
}

// take makes a note the lowest if it is lower.
func (l *low) take(t *score.Tone, tune bool) {
	if pitch := t.Pitch.MIDI(); l.class < 0 || pitch < l.pitch {
		*l = low{t.Pitch.Class(), pitch, tune}
	}
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

// add adds a note that sounds in the slice; they come in time order.
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
	s.lowest.take(t, tune)
	if s.struck && s.struckAt.Less(t.Onset) {
		return
	}
	s.opening.take(t, tune)
	if !tune && !t.Onset.Less(s.from) {
		s.struck, s.struckAt = true, t.Onset
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
		lengths, parts := all[m], 1
		if isThirds(lengths) {
			third := lengths[0].Mul(1, 3)
			lengths, parts = []score.Time{third, third, third}, 3
		}
		beats := beatsOf(lengths, starts[m], starts[m+1])
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
			slices, inside = appendBeat(slices, inside, from, to, at, parts)
		}
	}
	return slices
}

// isThirds tells whether a measure is a single beat of three parts, as in 3/8:
// chords change on them as on the beats of 3/4.
func isThirds(beats []score.Time) bool { return len(beats) == 1 && beats[0].Num()%3 == 0 }

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

// appendBeat appends the slices of one beat, or of one of so many parts of it:
// one, or where it opens with a full chord one for each that is struck in it. It
// returns the chords that are struck later.
func appendBeat(slices []slice, chords []score.Time, from, to score.Time, at start, parts int) ([]slice, []score.Time) {
	length := to.Sub(from).Quarters() * float64(parts)
	next := newSlice(from, at)
	opens := false
	for ; len(chords) > 0 && chords[0].Less(to); chords = chords[1:] {
		c := chords[0]
		if opens && from.Less(c) {
			next.to, next.share = c, c.Sub(next.from).Quarters()/length
			slices = append(slices, next)
			next = newSlice(c, inBeat)
		}
		opens = opens || c == from
	}
	next.to, next.share = to, to.Sub(next.from).Quarters()/length
	return append(slices, next), chords
}
