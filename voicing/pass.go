package voicing

// Pass is one step of arranging. Its fields are its parameters.
type Pass interface {
	// Name is the pass's, in reports: a verb, such as "thin".
	Name() string
	// Apply changes the arrangement and records every change and refusal.
	Apply(a *Arrangement)
}

// Voicing is a way to lay music out for the bells.
type Voicing string

// The voicings.
const (
	// Inverted has the melody in the pedals and everything else above it.
	Inverted Voicing = "inverted"
	// Plain has the melody on top, the bass in the pedals.
	Plain Voicing = "plain"
)

// Voicings lists all.
func Voicings() []Voicing { return []Voicing{Inverted, Plain} }

// Step is a pass at its place.
type Step struct {
	Pass Pass
	Why  string // why it stands where it does
}

// Steps is the one table of passes: what each voicing does, in order.
func Steps(v Voicing) []Step {
	inverted := v == Inverted
	steps := []Step{
		{SetAside{}, "what is not played must not count in anything later"},
	}
	if inverted {
		steps = append(steps,
			Step{PlaceMelody{On: Pedals, Octaves: -1}, "the melody chooses first: all else gives way to it"},
			Step{PlaceAccompaniment{Octaves: 1}, "needs to know where the melody is, to stay above it"},
		)
	} else {
		steps = append(steps,
			Step{PlaceMelody{On: Manual}, "the melody chooses first: all else gives way to it"},
			Step{PlaceBass{}, "the bass leaves the hands before they are filled"},
			Step{PlaceAccompaniment{Below: true}, "goes between bass and melody, so it needs both"},
		)
	}
	most := 1
	if inverted {
		most = 2
	}
	return append(steps,
		Step{Join{}, "strokes that have become one must not be counted as two when thinning"},
		Step{Thin{Most: most}, "on the keys as they will be struck"},
		Step{Relength{}, "lengths follow from the strokes that are left"},
		Step{Signs{}, "what follows a note goes where the note has gone, or not at all"},
		Step{Balance{Steps: 1}, "levels are written last, over whatever is there to be played"},
	)
}
