package voicing

import "undersong/score"

// classes is a set of pitch classes, C = bit 0.
type classes uint16

func (c classes) with(class int) classes { return c | 1<<class }

func (c classes) has(class int) bool { return c>>class&1 == 1 }

func (c classes) count() int {
	n := 0
	for ; c != 0; c &= c - 1 {
		n++
	}
	return n
}

// up is every class of c raised by so many semitones, 0 to 11.
func (c classes) up(semitones int) classes {
	return (c<<semitones | c>>(12-semitones)) & 0xfff
}

func classesOf(notes []*note) classes {
	var c classes
	for _, n := range notes {
		c = c.with(n.Pitch.Class())
	}
	return c
}

// templates are the chords of B. Pardo and W. Birmingham, "Algorithms for
// Chordal Analysis", Computer Music Journal 26:2 (2002), in the order of how
// often they occur there (list and order from memory).
var templates = []classes{
	0b000010010001, // major triad
	0b010010010001, // dominant seventh
	0b000010001001, // minor triad
	0b001001001001, // diminished seventh
	0b010001001001, // half-diminished seventh
	0b000001001001, // diminished triad
}

// rootOf is the root of the chord that fits the sounding classes best. The
// score is that of the paper: tones found, less tones foreign to the chord,
// less tones of the chord that are missing. Of equal chords that over the
// bass note wins, then the more frequent.
func rootOf(sounding classes, bass int) int {
	best, bestScore := bass, -100
	for _, t := range templates {
		for root := range 12 {
			chord := t.up(root)
			s := 2*((sounding&chord).count()-(sounding&^chord).count()-(chord&^sounding).count()) - 1
			if root == bass {
				s++
			}
			if s > bestScore {
				best, bestScore = root, s
			}
		}
	}
	return best
}

// harmonies are the roots of what sounds at each onset of the source.
func (a *arrangement) harmonies() map[score.Time]int {
	roots := map[score.Time]int{}
	a.sweep(func(onset score.Time, sounding []*note) {
		lowest := sounding[0]
		for _, n := range sounding {
			if n.Pitch.MIDI() < lowest.Pitch.MIDI() {
				lowest = n
			}
		}
		roots[onset] = rootOf(classesOf(sounding), lowest.Pitch.Class())
	})
	return roots
}
