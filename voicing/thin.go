package voicing

import "slices"

// Thin leaves at most Most notes of the accompaniment struck at once, in the
// published order ("Arranging for Carillon", lesson "Harmony"): what is
// doubled goes first, then the fifth of the chord, then what says least of
// the rest. Third and seventh stay longest.
type Thin struct{ Most int }

// Name is "thin".
func (Thin) Name() string { return "thin" }

// Apply implements [Pass].
func (t Thin) Apply(a *Arrangement) {
	chords := a.harmonies()
	for _, strike := range together(a.with(Accompaniment)) {
		var tune classes
		for _, n := range a.struckAt(strike[0].Onset) {
			if n.Role == Melody {
				tune = tune.with(n.Pitch.Class())
			}
		}
		for len(strike) > t.Most {
			i, why := leastNeeded(strike, chords[strike[0].Onset], tune)
			a.leaveOut(strike[i], why)
			strike = slices.Delete(strike, i, i+1)
		}
	}
}

// leastNeeded is the note that thinning drops first. Of two that matter
// alike the lower goes: doubling is for the higher bells (Rensselaer,
// "Suggestions for Composing for Carillon").
func leastNeeded(strike []*Note, root int, tune classes) (index int, why string) {
	var worst degreeRank
	for i, n := range strike {
		r := rankOf(n.Pitch.Class(), root)
		others := tune
		for j, o := range strike {
			if j != i {
				others = others.with(o.Pitch.Class())
			}
		}
		if others.has(n.Pitch.Class()) {
			r = doubled
		}
		if r > worst || i == 0 || r == worst && n.Key() < strike[index].Key() {
			index, worst = i, r
		}
	}
	return index, "thinned: " + worst.String()
}

// degreeRank orders the tones of a chord by how soon they may go.
type degreeRank int

const (
	third degreeRank = iota
	seventh
	alteredFifth
	addedTone
	chordRoot
	fifth
	doubled
)

func (r degreeRank) String() string {
	return [...]string{
		"a third too many", "a seventh too many", "an altered fifth too many",
		"an added tone", "the root", "the fifth", "a doubled note",
	}[r]
}

// ranks by distance from the root in semitones.
var ranks = [12]degreeRank{
	chordRoot, addedTone, addedTone, third, third, addedTone,
	alteredFifth, fifth, alteredFifth, addedTone, seventh, seventh,
}

func rankOf(class, root int) degreeRank { return ranks[(class-root+12)%12] }
