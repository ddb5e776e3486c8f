package harmony

// template is a chord that is looked for in notes.
type template struct {
	kind    int // index in kinds
	classes [12]Classes
	tones   []int // above the root
}

// templates are the chords that are looked for in notes, the first six those
// of B. Pardo and W. Birmingham, "Algorithms for Chordal Analysis", Computer
// Music Journal 26:2 (2002), in the order of how often they occur there (list
// and order from memory); the others are the project's own.
var templates = templatesOf(
	"major", "dominant", "minor", "diminished-seventh", "half-diminished", "diminished",
	"minor-seventh", "major-seventh", "augmented", "suspended-fourth", "major-sixth", "minor-sixth",
	"suspended-second",
)

func templatesOf(names ...string) []template {
	var all []template
	for _, name := range names {
		t := template{kind: kindOf(name)}
		for _, tone := range kinds[t.kind].tones {
			t.tones = append(t.tones, tone.Semitones)
		}
		for root := range t.classes {
			t.classes[root] = kinds[t.kind].classes().up(root)
		}
		all = append(all, t)
	}
	return all
}

// Costs of the path through the piece; the project's own figures. A chord
// changes rather at a barline than inside a measure, least of all in a beat.
var changeCosts = [...]float64{ofMeasure: 0.4, ofHalf: 0.65, ofBeat: 0.9, inBeat: 1.3}

const (
	bassWorth     = 0.6  // a chord whose root is in the bass
	tuneBassWorth = 0.2  // where that is the melody
	rareCost      = 0.05 // each place farther down the list of templates
	// missing is what each tone of a chord costs that does not sound. It is
	// less than the paper's 1, since in a beat of broken chords few tones
	// sound.
	missing = 0.4
)

// path is the best chord for each slice, 12 times its place in templates and
// the root, by one path through the piece; -1 before anything sounds.
//
// A chord fits by Pardo and Birmingham's measure: tones found, less tones
// foreign to the chord, less tones of the chord that are missing.
func path(slices []slice) []int {
	n := 12 * len(templates)
	total, fits := make([]float64, n), make([]float64, n)
	from := make([]uint8, n*len(slices))
	for i := range slices {
		s := &slices[i]
		s.fit(fits)
		best := argmax(total)
		moved := total[best] - changeCosts[s.start]
		from := from[i*n : (i+1)*n]
		for state := range total {
			from[state] = uint8(state)
			if moved > total[state] {
				total[state], from[state] = moved, uint8(best)
			}
			total[state] += fits[state]
		}
	}
	states := make([]int, len(slices))
	at := argmax(total)
	for i := len(slices) - 1; i >= 0; i-- {
		states[i] = at
		at = int(from[i*n+at])
	}
	for i := 0; i < len(slices) && slices[i].there == 0; i++ {
		states[i] = -1
	}
	return states
}

// fit tells how well each template on each root fits s. Where nothing sounds,
// all fit alike.
func (s *slice) fit(fits []float64) {
	var weights [24]float64
	all := 0.0
	for class, w := range s.weights {
		weights[class], weights[class+12] = w, w
		all += w
	}
	worth := bassWorth
	if s.lowTune {
		worth = tuneBassWorth
	}
	for t := range templates {
		template := &templates[t]
		for root := range 12 {
			if s.there == 0 {
				fits[12*t+root] = 0
				continue
			}
			in := 0.0
			for _, tone := range template.tones {
				in += weights[root+tone]
			}
			absent := (template.classes[root] &^ s.there).Count()
			fit := 2*in - all - missing*float64(absent) - rareCost*float64(t)
			if root == s.bass {
				fit += worth
			}
			fits[12*t+root] = fit * s.share
		}
	}
}

func argmax(x []float64) int {
	best := 0
	for i := range x {
		if x[i] > x[best] {
			best = i
		}
	}
	return best
}
