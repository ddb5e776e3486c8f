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
	opens     Classes     // that sound from its beginning
	later     later       // what is struck after that
	names     [12]score.Pitch
	there     Classes // that sound at all
	rings     Classes // there, or before in the same measure, as strings and bells ring on
	opening   low     // note of those that sound when the accompaniment is first struck
	lowest    low     // note of all
	struck    bool    // a note of the accompaniment is, the first at struckAt
	struckAt  score.Time
}

// later is what is struck in a slice after its beginning.
type later struct {
	weights, accomp [12]float64
	any, leaps      bool // a note is, one that is not reached by step
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
	full, steps := sweep(tones)
	row := cut(s, full)
	tune := make([]bool, len(tones))
	for _, i := range melody {
		tune[i] = true
	}
	first := 0
	for i := range tones {
		t := &tones[i]
		for first < len(row) && !t.Onset.Less(row[first].to) {
			first++
		}
		if !t.First().Plays() || t.First().Grace {
			continue
		}
		for k := first; k < len(row) && row[k].from.Less(t.End()); k++ {
			row[k].add(t, tune[i], steps[i])
		}
	}
	for i := range row {
		row[i].settle()
		row[i].rings = row[i].there
		if row[i].start != ofMeasure {
			row[i].rings |= row[i-1].rings
		}
	}
	return row
}

// What a note counts that may be foreign to the chord; the project's own figures.
const (
	tuneWeight    = 0.5  // the melody's
	passingWeight = 0.25 // one that passes: see settle
)

// add adds a note that sounds in the slice, reached by step or not; they come in
// time order.
func (s *slice) add(t *score.Tone, tune, step bool) {
	sounds := score.Min(t.End(), s.to).Sub(score.Max(t.Onset, s.from))
	part := sounds.Quarters() / s.to.Sub(s.from).Quarters()
	class := t.Pitch.Class()
	weights, accomp := &s.weights, &s.accomp
	if s.from.Less(t.Onset) {
		weights, accomp = &s.later.weights, &s.later.accomp
		s.later.any = true
		s.later.leaps = s.later.leaps || !step
	} else {
		s.opens = s.opens.With(class)
	}
	if tune {
		weights[class] += tuneWeight * part
	} else {
		weights[class] += part
		accomp[class] += part
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

// settle weighs what has been added. Where a slice opens with a triad, its root not in the
// melody alone, and goes on by steps, these pass and the triad is what is heard.
func (s *slice) settle() {
	weight := 1.0
	if root, triad := triadRoot(s.opens); triad && s.accomp[root] > 0 && s.later.any && !s.later.leaps {
		weight = passingWeight
		for class := range 12 {
			switch {
			case s.accomp[class] > 0:
				s.weights[class], s.accomp[class] = 1, 1
			case s.opens.Has(class):
				s.weights[class] = tuneWeight
			}
		}
	}
	for class := range 12 {
		s.weights[class] = min(1, s.weights[class]+weight*s.later.weights[class])
		s.accomp[class] = min(1, s.accomp[class]+weight*s.later.accomp[class])
	}
}

// cut divides a score into its beats, and a beat where a full chord is struck
// inside it after another one; inside are the moments of full chords.
func cut(s *score.Score, inside []score.Time) []slice {
	starts := s.Starts()
	all := s.Beats()
	count := 0
	for _, beats := range all {
		count += len(beats)
	}
	row := make([]slice, 0, count+len(inside))
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
			row, inside = appendBeat(row, inside, from, to, at, parts)
		}
	}
	return row
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

// appendBeat appends the slices of one beat, or of one of so many parts of it:
// one, or where it opens with a full chord one for each that is struck in it. It
// returns the chords that are struck later.
func appendBeat(row []slice, chords []score.Time, from, to score.Time, at start, parts int) ([]slice, []score.Time) {
	length := to.Sub(from).Quarters() * float64(parts)
	next := newSlice(from, at)
	opens := false
	for ; len(chords) > 0 && chords[0].Less(to); chords = chords[1:] {
		c := chords[0]
		if opens && from.Less(c) {
			next.to, next.share = c, c.Sub(next.from).Quarters()/length
			row = append(row, next)
			next = newSlice(c, inBeat)
		}
		opens = opens || c == from
	}
	next.to, next.share = to, to.Sub(next.from).Quarters()/length
	return append(row, next), chords
}
