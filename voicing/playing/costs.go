package playing

// costs are what limbs mind, as long as they can play at all; the figures are
// the project's own, and what matters is their order.
type costs struct {
	way      float64 // each octave on the way to the next key
	strain   float64 // a stroke that leaves no time to spare; less with the square of the time
	leap     float64 // a quick leap
	cross    float64 // a stroke beyond where the other limb just was
	uneven   float64 // each note that one limb has beyond its share
	same     float64 // the limb that struck last strikes another key
	change   float64 // the other limb strikes next, a lone note after a lone note
	again    float64 // the other limb strikes the same key next
	leftLone float64 // a lone note for the left limb: a line is the right hand's
	side     float64 // a lone note in the other limb's half of the keyboard
	unwanted float64 // a note that another limb wanted
}

// Hands keep a line in one hand and share it where it is fast; feet take
// turns, but one foot repeats a pedal.
var (
	handCosts = costs{way: 0.4, strain: 1.5, leap: 2, cross: 1.5, uneven: 0.3, change: 0.4, again: 0.1, leftLone: 0.05, unwanted: 0.8}
	footCosts = costs{way: 0.4, strain: 1.5, cross: 1, same: 0.6, again: 0.8, side: 0.15, unwanted: 0.8}
)

// lately is how long, in seconds, the other limb is in the way and a line goes
// on: the project's own figure.
const lately = 1.0
