package harmony

import (
	"math/bits"
	"sort"

	"undersong/score"
)

// Classes is a set of pitch classes, C as bit 0.
type Classes uint16

// With is c and one class more.
func (c Classes) With(class int) Classes { return c | 1<<class }

// Has tells whether a class is in c.
func (c Classes) Has(class int) bool { return c>>class&1 == 1 }

// Count is the number of classes in c.
func (c Classes) Count() int { return bits.OnesCount16(uint16(c)) }

// up is every class of c raised by so many semitones, 0 to 11.
func (c Classes) up(semitones int) Classes { return (c<<semitones | c>>(12-semitones)) & 0xfff }

// ClassesOf are the pitch classes of a chord symbol, its bass included.
func ClassesOf(c score.ChordSymbol) Classes {
	var set Classes
	for _, t := range Tones(c) {
		set = set.With((c.Root.Class() + t.Semitones) % 12)
	}
	if c.HasBass {
		set = set.With(c.Bass.Class())
	}
	return set
}

// Span is one harmony.
type Span struct {
	From, To score.Time
	// Chord has a root, a kind, and a bass where that is another tone; it has
	// none of these, and the kind "none", where nothing sounds.
	Chord score.ChordSymbol
	Given bool // by a chord symbol of the score
	// Fit is how much of what sounds belongs to the chord, 0 to 1.
	Fit float64
}

// templates are the chords that are looked for in notes, the first six those
// of B. Pardo and W. Birmingham, "Algorithms for Chordal Analysis", Computer
// Music Journal 26:2 (2002), in the order of how often they occur there (list
// and order from memory); the others are the project's own.
var templates = templatesOf(
	"major", "dominant", "minor", "diminished-seventh", "half-diminished", "diminished",
	"minor-seventh", "major-seventh", "augmented", "suspended-fourth", "major-sixth", "minor-sixth",
)

type template struct {
	kind    string
	classes Classes
}

func templatesOf(names ...string) []template {
	var all []template
	for _, name := range names {
		all = append(all, template{name, ClassesOf(score.ChordSymbol{Kind: name})})
	}
	return all
}

// Identify is the chord that has just these pitch classes over a bass, spelled
// in a key: of the kinds of MusicXML the first that fits on the bass, else on
// another root. ok is false where none has them all and no more.
func Identify(set Classes, bass int, k Key) (chord score.ChordSymbol, ok bool) {
	for step := range 12 {
		root := (bass + step) % 12
		for _, kind := range kinds {
			c := score.ChordSymbol{Kind: kind.name}
			if len(kind.tones) > 0 && ClassesOf(c).up(root) == set {
				return k.symbol(kind.name, root, bass), true
			}
		}
	}
	return score.ChordSymbol{Kind: "none"}, false
}

func (k Key) symbol(kind string, root, bass int) score.ChordSymbol {
	c := score.ChordSymbol{Kind: kind, HasRoot: true, Root: k.Spell(root)}
	if bass != root {
		c.HasBass, c.Bass = true, k.Spell(bass)
	}
	return c
}

// beat is what sounds in one beat.
type beat struct {
	from, to score.Time
	strong   bool        // the first of its measure
	weights  [12]float64 // how long each class sounds, at most 1
	bass     int         // class of the lowest note, -1 of none
	low      int         // its pitch
}

// Costs of the path through the piece; the project's own figures. A chord
// changes rather at a barline than inside a measure.
const (
	changeCost = 0.9
	strongCost = 0.4
	bassWorth  = 0.6  // a chord whose root is in the bass
	rareCost   = 0.05 // each place farther down the list of templates
	tuneWeight = 0.5  // of the melody's notes, which may be foreign to the chord
)

// Find names the harmony of a score from its beginning to its end. tones are
// s.Tones(), melody the indexes of its melody in them. A chord symbol holds
// until the next; one of kind "none" is taken as a label that says nothing.
// Where no symbol holds, the chord is the one that fits the notes best, beat by
// beat, as in Pardo and Birmingham's measure (tones found, less tones foreign
// to the chord, less tones of the chord that are missing), by one path through
// the whole piece on which each change has a cost.
func Find(s *score.Score, tones []score.Tone, melody []int) []Span {
	key, _ := FindKey(s, tones)
	beats := beatsOf(s, tones, melody)
	found := merge(beats, key.Key, path(beats))
	return overlay(found, given(s))
}

// beatsOf weighs what sounds in each beat.
func beatsOf(s *score.Score, tones []score.Tone, melody []int) []beat {
	starts, measures := s.BeatStarts(), s.Starts()
	beats := make([]beat, len(starts))
	for i, at := range starts {
		beats[i] = beat{from: at, to: measures[len(measures)-1], bass: -1}
		if i > 0 {
			beats[i-1].to = at
		}
		m := sort.Search(len(measures), func(k int) bool { return !measures[k].Less(at) })
		beats[i].strong = measures[m] == at
	}
	tune := make([]bool, len(tones))
	for _, i := range melody {
		tune[i] = true
	}
	first := 0
	for i := range tones {
		t := &tones[i]
		for first < len(beats) && !t.Onset.Less(beats[first].to) {
			first++
		}
		if !t.First().Plays() || t.First().Grace {
			continue
		}
		weight := 1.0
		if tune[i] {
			weight = tuneWeight
		}
		for k := first; k < len(beats) && beats[k].from.Less(t.End()); k++ {
			beats[k].add(t, weight)
		}
	}
	return beats
}

func (b *beat) add(t *score.Tone, weight float64) {
	sounds := score.Min(t.End(), b.to).Sub(score.Max(t.Onset, b.from))
	class := t.Pitch.Class()
	b.weights[class] = min(1, b.weights[class]+weight*sounds.Quarters()/b.to.Sub(b.from).Quarters())
	if pitch := t.Pitch.MIDI(); b.bass < 0 || pitch < b.low {
		b.bass, b.low = class, pitch
	}
}

// path is the best template and root for each beat, -1 before anything sounds.
func path(beats []beat) []int {
	n := 12 * len(templates)
	total := make([]float64, n)
	from := make([][]int32, len(beats))
	for i := range beats {
		b := &beats[i]
		change := changeCost
		if b.strong {
			change = strongCost
		}
		best := argmax(total)
		stay := total[best] - change
		from[i] = make([]int32, n)
		b.fits(func(state int, fit float64) {
			before, at := total[state], int32(state)
			if i > 0 && stay > before {
				before, at = stay, int32(best)
			}
			total[state], from[i][state] = before+fit, at
		})
	}
	states := make([]int, len(beats))
	at := argmax(total)
	for i := len(beats) - 1; i >= 0; i-- {
		states[i] = at
		at = int(from[i][at])
	}
	return states
}

// fits tells how well each template on each root fits b. Where nothing sounds,
// all fit alike.
func (b *beat) fits(each func(state int, fit float64)) {
	var all float64
	var there Classes
	for class, w := range b.weights {
		if all += w; w > 0 {
			there = there.With(class)
		}
	}
	for t, template := range templates {
		for root := range 12 {
			state := 12*t + root
			if there == 0 {
				each(state, 0)
				continue
			}
			set := template.classes.up(root)
			in := 0.0
			for class := range 12 {
				if set.Has(class) {
					in += b.weights[class]
				}
			}
			fit := in - (all - in) - missing*float64((set&^there).Count()) - rareCost*float64(t)
			if root == b.bass {
				fit += bassWorth
			}
			each(state, fit)
		}
	}
}

// missing is what each tone of a chord costs that does not sound. It is less
// than the paper's 1, since in a beat of broken chords few tones sound.
const missing = 0.4

func argmax(x []float64) int {
	best := 0
	for i := range x {
		if x[i] > x[best] {
			best = i
		}
	}
	return best
}

// merge makes spans of beats with one chord and one bass that is of the chord.
func merge(beats []beat, k Key, states []int) []Span {
	var spans []Span
	state, bass := -1, -1
	for i := range beats {
		b := &beats[i]
		t, root := templates[states[i]/12], states[i]%12
		low := root
		if b.bass >= 0 && t.classes.up(root).Has(b.bass) {
			low = b.bass
		} else if states[i] == state {
			low = bass
		}
		if last := len(spans) - 1; last >= 0 && states[i] == state && low == bass {
			spans[last].To = b.to
			continue
		}
		state, bass = states[i], low
		spans = append(spans, Span{From: b.from, To: b.to, Chord: k.symbol(t.kind, root, low), Fit: b.share(t.classes.up(root))})
	}
	return spans
}

// share is how much of what sounds in b is in a chord.
func (b *beat) share(chord Classes) float64 {
	in, all := 0.0, 0.0
	for class, w := range b.weights {
		if all += w; chord.Has(class) {
			in += w
		}
	}
	if all == 0 {
		return 0
	}
	return in / all
}

// given are the chord symbols of a score that say a chord, each until the next
// symbol.
func given(s *score.Score) []Span {
	starts := s.Starts()
	var spans []Span
	for _, p := range s.Parts {
		by := score.Transposition{}
		for i, m := range p.Measures {
			for _, t := range m.Transposes {
				by = t.Transposition
			}
			for _, c := range m.Chords {
				at := starts[i].Add(c.Onset)
				if last := len(spans) - 1; last >= 0 && at.Less(spans[last].To) {
					spans[last].To = at
				}
				c.Root, c.Bass = concert(c.Root, by), concert(c.Bass, by)
				spans = append(spans, Span{From: at, To: starts[len(starts)-1], Chord: c, Given: true, Fit: 1})
			}
		}
		if len(spans) > 0 {
			break // further parts repeat what the first has
		}
	}
	says := spans[:0]
	for _, sp := range spans {
		if sp.Chord.HasRoot && Tones(sp.Chord) != nil && sp.From.Less(sp.To) {
			says = append(says, sp)
		}
	}
	return says
}

func concert(p score.Pitch, by score.Transposition) score.Pitch {
	p = p.Transpose(by.Letters, by.Semitones)
	p.Octave = 0
	return p
}

// overlay puts over spans in the place of what they cover.
func overlay(spans, over []Span) []Span {
	if len(over) == 0 {
		return spans
	}
	var all []Span
	for _, s := range spans {
		for len(over) > 0 && !s.From.Less(over[0].To) {
			all, over = append(all, over[0]), over[1:]
		}
		rest := s
		for _, o := range over {
			if !o.From.Less(rest.To) {
				break
			}
			if rest.From.Less(o.From) {
				part := rest
				part.To = o.From
				all = append(all, part)
			}
			rest.From = score.Min(o.To, rest.To)
		}
		if rest.From.Less(rest.To) {
			all = append(all, rest)
		}
	}
	all = append(all, over...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].From.Less(all[j].From) })
	return all
}
