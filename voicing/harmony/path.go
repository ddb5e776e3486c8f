package harmony

// template is a chord that is looked for in notes.
type template struct {
	kind      int // index in kinds
	tones     []int
	cost      float64
	suspended int  // the tone in the place of the third, 0 of other chords
	altered   bool // its fifth is not perfect
}

// templates are the chords that are looked for in notes, the first six those
// of B. Pardo and W. Birmingham, "Algorithms for Chordal Analysis", Computer
// Music Journal 26:2 (2002), in the order of how often they occur there (list
// and order from memory), which breaks ties; the others are the project's own.
// What each costs is the project's own figure: a tone that passes should not
// make a seventh or a suspended fourth.
var templates = []template{
	newTemplate("major", 0),
	newTemplate("dominant", 0.1),
	newTemplate("minor", 0.05),
	newTemplate("diminished-seventh", 0.2),
	newTemplate("half-diminished", 0.25),
	newTemplate("diminished", 0.25),
	newTemplate("minor-seventh", 0.3),
	newTemplate("major-seventh", 0.4),
	newTemplate("augmented", 0.5),
	newTemplate("augmented-seventh", 0.5),
	newTemplate("suspended-fourth", 0.6),
	newTemplate("major-sixth", 0.6),
	newTemplate("minor-sixth", 0.6),
	newTemplate("suspended-second", 0.7),
}

func newTemplate(name string, cost float64) template {
	t := template{kind: kindOf(name), cost: cost}
	for _, tone := range kinds[t.kind].tones {
		t.tones = append(t.tones, tone.Semitones)
		if tone.Degree == 2 || tone.Degree == 4 {
			t.suspended = tone.Semitones
		}
		t.altered = t.altered || tone.Degree == 5 && tone.Semitones != 7
	}
	return t
}

// Costs of the path through the piece; the project's own figures. A chord
// changes rather at a barline than inside a measure, least of all in a beat.
var changeCosts = [...]float64{ofMeasure: 0.4, ofHalf: 0.65, ofBeat: 0.9, inBeat: 1}

const (
	bassWorth     = 0.6 // a chord whose root is in the bass
	weakBassWorth = 0.2 // where that is the melody, or inside a measure
	// missing is what each tone of a chord costs that is not heard, foreign
	// what one costs that is not of the key either. It is less than the
	// paper's 1, since in a beat of broken chords few tones sound.
	missing = 0.4
	foreign = 0.6
	// ofAltered is what each costs of a chord whose fifth is not perfect, the
	// paper's figure: such a chord is known by all its tones or not at all.
	ofAltered = 1
)

// guess is how a chord is guessed of which not all is heard. Classes count
// from the tonic, so that what is found moves with the music.
type guess struct {
	tonic  int
	absent [12]float64 // what each class costs that is not heard
	// roots are what each root costs where less than a full chord is heard:
	// tonic, dominant and subdominant are the likeliest, in that order.
	roots [12]float64
}

func newGuess(k Key) guess {
	g := guess{tonic: k.class()}
	for i := range 12 {
		if g.absent[i], g.roots[i] = foreign, 0.3; k.scale().Has((g.tonic + i) % 12) {
			g.absent[i], g.roots[i] = missing, 0.2
		}
	}
	g.roots[0], g.roots[7], g.roots[5] = 0, 0.05, 0.1
	return g
}

// path is the best chord for each slice, 12 times its place in templates and
// the root, by one path through the piece; -1 before anything sounds.
//
// A chord fits by Pardo and Birmingham's measure: tones found, less tones
// foreign to the chord, less tones of the chord that are missing.
func path(row []slice, k Key) []int {
	guess := newGuess(k)
	n := 12 * len(templates)
	total, fits := make([]float64, n), make([]float64, n)
	from := make([]uint8, n*len(row))
	best := 0 // the first state with the highest total
	for i := range row {
		s := &row[i]
		s.fit(fits, &guess)
		moved, last := total[best]-changeCosts[s.start], uint8(best)
		from := from[i*n : (i+1)*n]
		best = 0
		for state, before := range total {
			from[state] = uint8(state)
			if moved >= before { // of equal ways the one that changes later
				before, from[state] = moved, last
			}
			total[state] = before + fits[state]
			if total[state] > total[best] {
				best = state
			}
		}
	}
	states := make([]int, len(row))
	at := best
	for i := len(row) - 1; i >= 0; i-- {
		states[i] = at/12*12 + (at+guess.tonic)%12
		at = int(from[i*n+at])
	}
	for i := 0; i < len(row) && row[i].there == 0; i++ {
		states[i] = -1
	}
	return states
}

// fit tells how well each template on each root fits s. Where nothing sounds,
// all fit alike.
func (s *slice) fit(fits []float64, g *guess) {
	if s.there == 0 {
		clear(fits)
		return
	}
	// What a chord gains by a tone, by classes from the tonic, twice round, and
	// what one with an altered fifth does.
	var gains, ofAlteredGains [24]float64
	all := 0.0
	for i := range gains {
		class := (g.tonic + i) % 12
		gains[i] = 2 * s.weights[class]
		ofAlteredGains[i] = gains[i]
		if !s.rings.Has(class) {
			gains[i] -= g.absent[i%12]
			ofAlteredGains[i] -= ofAltered
		}
		all += s.weights[class] / 2
	}
	worth := bassWorth
	if s.lowest.tune || s.start > ofHalf {
		worth = weakBassWorth
	}
	lowest, opening := (s.lowest.class-g.tonic+12)%12, (s.opening.class-g.tonic+12)%12
	var roots [12]float64 // what each root costs
	if s.there.Count() < fullChord {
		roots = g.roots
	}
	for t := range templates {
		template := &templates[t]
		gains := &gains
		if template.altered {
			gains = &ofAlteredGains
		}
		fits := (*[12]float64)(fits[12*t:])
		for root := range fits {
			fits[root] = -all - template.cost - roots[root]
		}
		for _, tone := range template.tones {
			for root, gain := range (*[12]float64)(gains[tone:]) {
				fits[root] += gain
			}
		}
		if tone := template.suspended; tone > 0 {
			for root := range fits {
				// A third is heard, or the tune's appoggiatura is all there is.
				class := root + g.tonic
				if s.rings.Has((class+3)%12) || s.rings.Has((class+4)%12) || s.accomp[(class+tone)%12] == 0 {
					fits[root] -= foreign
				}
			}
		}
		fits[lowest] += worth
		if opening != lowest {
			fits[opening] += worth
		}
		for root := range fits {
			fits[root] *= s.share
		}
	}
}

// inBass tells whether s begins with a class in the bass, or has it there later:
// the root may come after the beat, or last in a figure.
func (s *slice) inBass(class int) bool { return class == s.opening.class || class == s.lowest.class }

func argmax(x []float64) int {
	best := 0
	for i := range x {
		if x[i] > x[best] {
			best = i
		}
	}
	return best
}
