package sound

import (
	"fmt"

	"undersong/instrument"
	"undersong/score"
)

// Staff is a staff of a score as it sounds on a tower.
type Staff struct {
	Part, Staff int // index of the part; staves count from 1
	Name        string
	Offset      int // semitones that the tower sounds above what is written
}

// Staves are the staves of a score. Those of a carillon score are called
// manual and pedals.
func Staves(s *score.Score, t *instrument.Tower) []Staff {
	var all []Staff
	for i, p := range s.Parts {
		name := p.Name
		if name == "" {
			name = p.ID
		}
		for staff := 1; staff <= p.Staves; staff++ {
			by := transposes(p, staff)
			one := Staff{Part: i, Staff: staff, Name: name, Offset: t.SoundingOffset()}
			switch {
			case p.Staves == 2 && saysKeys(by, t.SoundingOffset()):
				one.Name = name + ", " + []string{"manual", "pedals"}[staff-1]
			case p.Staves > 1:
				one.Name = fmt.Sprintf("%s, staff %d", name, staff)
			}
			if !saysKeys(by, t.SoundingOffset()) {
				one.Offset += by
			}
			all = append(all, one)
		}
	}
	return all
}

// transposes is by how many semitones a staff sounds higher at its beginning.
func transposes(p *score.Part, staff int) int {
	by := 0
	if len(p.Measures) == 0 {
		return 0
	}
	for _, c := range p.Measures[0].Transposes {
		if c.Onset.Sign() == 0 && (c.Staff == 0 || c.Staff == staff) {
			by = c.Semitones
		}
	}
	return by
}

// saysKeys tells whether what is written in a part that transposes so is the
// keys of a tower that sounds so much above its keys.
func saysKeys(semitones, offset int) bool {
	return semitones == offset || semitones >= carillonTransposes
}
