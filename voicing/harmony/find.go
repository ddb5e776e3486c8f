package harmony

import "undersong/score"

// Span is one harmony.
type Span struct {
	From, To score.Time
	// Chord has a root, a kind, and a bass where that is another tone. Before
	// anything sounds, and where the score says that there is no chord, it has
	// none of these, and the kind "none".
	Chord score.ChordSymbol
	Given bool // by a chord symbol of the score
	// Fit is how much of what sounds belongs to the chord, 0 to 1; of a given
	// chord it is 1.
	Fit float64
}

// Find names the harmony of a score from its beginning to its end. tones are
// s.Tones(), melody the indexes of its melody in them.
//
// A chord symbol holds until the next. Where no symbol holds, the chord is the
// one that fits the notes best, beat by beat, by one path through the whole
// piece on which each change has a cost, least at a barline; inside a beat
// it changes only where a new full chord is struck. In a rest the chord before
// goes on, as bells do.
func Find(s *score.Score, tones []score.Tone, melody []int) []Span {
	key, _ := FindKey(s, tones)
	return FindIn(s, tones, melody, key.Key)
}

// FindIn is [Find] for a score whose key is known.
func FindIn(s *score.Score, tones []score.Tone, melody []int, k Key) []Span {
	symbols := given(s, k)
	if cover(symbols, s) {
		return symbols
	}
	row := slicesOf(s, tones, melody)
	return overlay(spansOf(row, path(row, k), k), symbols)
}

// cover tells whether spans, in order, leave no gap in a score.
func cover(spans []Span, s *score.Score) bool {
	var at score.Time
	for _, span := range spans {
		if at.Less(span.From) {
			return false
		}
		at = span.To
	}
	starts := s.Starts()
	return at == starts[len(starts)-1]
}

// spansOf makes spans of slices with one chord over one bass.
func spansOf(row []slice, states []int, k Key) []Span {
	var spans []Span
	for first := 0; first < len(row); {
		last := first + 1
		for last < len(row) && states[last] == states[first] && !row[last].freshBass {
			last++
		}
		next := nameSpan(row[first:last], states[first], k)
		if n := len(spans) - 1; n >= 0 && sameChord(spans[n].Chord, next.Chord) {
			spans[n] = join(spans[n], next)
		} else {
			spans = append(spans, next)
		}
		first = last
	}
	return spans
}

func sameChord(a, b score.ChordSymbol) bool {
	return a.Kind == b.Kind && a.Root == b.Root && a.HasBass == b.HasBass && a.Bass == b.Bass
}

// join is two spans with one chord as one.
func join(a, b Span) Span {
	x, y := a.To.Sub(a.From).Quarters(), b.To.Sub(b.From).Quarters()
	a.Fit = (float64(a.Fit*x) + float64(b.Fit*y)) / (x + y)
	a.To = b.To
	return a
}

// nameSpan names the chord of slices that have one state.
func nameSpan(row []slice, state int, k Key) Span {
	span := Span{From: row[0].from, To: row[len(row)-1].to, Chord: score.ChordSymbol{Kind: "none"}}
	if state < 0 {
		return span
	}
	heard := hear(row)
	kind, root := heard.refine(templates[state/12].kind, state%12)
	chord := kinds[kind].classes().up(root)
	span.Chord = symbol(kind, heard.spell(kind, root, k), bassOf(row, chord, root))
	span.Fit = heard.share(chord)
	return span
}

// bassOf is the bass of a chord: the root where it is in the bass of a slice, else
// the note that this begins with, since those after it pass or break the chord
// up. The first slice counts that has a note of the chord there; a bare tune is no
// bass.
func bassOf(row []slice, chord Classes, root int) int {
	for i := range row {
		s := &row[i]
		switch opening, lowest := s.opening.class, s.lowest.class; {
		case s.accomp == [12]float64{}:
		case s.inBass(root):
			return root
		case opening >= 0 && chord.Has(opening):
			return opening
		case lowest >= 0 && chord.Has(lowest):
			return lowest
		}
	}
	return root
}

// heard is what sounds in a span.
type heard struct {
	weights [12]float64 // how long each class sounds, in quarters, and
	accomp  [12]float64 // of that, outside the melody
	length  float64
	names   [12]score.Pitch // as the notes have them, octave 0
	there   Classes
}

func hear(row []slice) heard {
	var h heard
	for i := range row {
		s := &row[i]
		length := s.to.Sub(s.from).Quarters()
		h.length += length
		for class := range 12 {
			h.weights[class] += float64(s.weights[class] * length) // rounded alike on all machines
			h.accomp[class] += float64(s.accomp[class] * length)
			if s.there.Has(class) && !h.there.Has(class) {
				h.names[class] = s.names[class]
			}
		}
		h.there |= s.there
	}
	return h
}

// share is how much of what sounds is in a chord.
func (h *heard) share(chord Classes) float64 {
	in, all := 0.0, 0.0
	for class, w := range h.weights {
		if all += w; chord.Has(class) {
			in += w
		}
	}
	if all == 0 {
		return 0
	}
	return in / all
}

// clearly is how much of a span a tone must sound in the accompaniment for a
// chord to be named by it beyond its template; the project's own figure.
const clearly = 0.75

// refine names a chord more exactly than its template, where all tones that
// are held make a larger kind on the same root (a ninth, an augmented seventh),
// and finds the root of a chord of equal steps by how it is spelled.
func (h *heard) refine(kind, root int) (int, int) {
	step := kinds[kind].equal()
	if step == 0 {
		return h.enlarge(kind, root), root
	}
	for up := 0; up < 12; up += step {
		if r := (root + up) % 12; h.enlarge(kind, r) != kind {
			return h.enlarge(kind, r), r
		}
	}
	for up := 0; up < 12; up += step {
		if r := (root + up) % 12; h.there.Has(r) && h.spelledOn(kind, h.names[r]) == len(kinds[kind].tones) {
			return kind, r
		}
	}
	return kind, root
}

// enlarge is the kind on a root that has just the tones which are held, and
// all that sound of the chord; it is kind where none has.
func (h *heard) enlarge(kind, root int) int {
	var held Classes
	for class, w := range h.accomp {
		if w >= clearly*h.length {
			held = held.With(class)
		}
	}
	sounds := kinds[kind].classes().up(root) & h.there
	for k := range kinds {
		if set := kinds[k].classes().up(root); kinds[k].sounding() && set == held && sounds&^set == 0 {
			return k
		}
	}
	return kind
}

// spelledOn counts the tones of a kind on a root that are named by the letters
// that they have in that chord.
func (h *heard) spelledOn(kind int, root score.Pitch) int {
	n := 0
	for _, t := range kinds[kind].tones {
		class := (root.Class() + t.Semitones) % 12
		if h.there.Has(class) && h.names[class].Step == t.On(root).Step {
			n++
		}
	}
	return n
}

// spell is the name of a root: the key's if it is on its scale, else the name
// on which most tones are spelled as the notes have them.
func (h *heard) spell(kind, root int, k Key) score.Pitch {
	name := k.Spell(root)
	if k.scale().Has(root) {
		return name
	}
	at := Fifths(name)
	for _, other := range []score.Pitch{onFifths(at - 12), onFifths(at + 12)} {
		if h.spelledOn(kind, other) > h.spelledOn(kind, name) {
			name = other
		}
	}
	return name
}
