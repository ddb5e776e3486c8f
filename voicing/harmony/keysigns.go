package harmony

import "undersong/score"

// signature is a key signature at concert pitch.
type signature struct {
	fifths int  // -7 to 7
	minor  bool // said to be
}

// mainSignature is the signature in force longest in the first part that has
// one, nil where none has.
func mainSignature(s *score.Score) *signature {
	starts := s.Starts()
	for _, p := range s.Parts {
		longest := map[signature]float64{}
		var now, best *signature
		by := 0
		for i, m := range p.Measures {
			for _, t := range m.Transposes {
				by = 7*t.Semitones - 12*t.Letters
			}
			for _, k := range m.Keys {
				if !k.Key.Free {
					now = &signature{within7(k.Key.Fifths + by), k.Key.Mode == "minor"}
				}
			}
			if now == nil {
				continue
			}
			longest[*now] += starts[i+1].Sub(starts[i]).Quarters()
			if best == nil || longest[*now] > longest[*best] {
				best = now
			}
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// within7 is a signature of at most seven sharps or flats, the same but for
// twelve more or less.
func within7(fifths int) int {
	if -7 <= fifths && fifths <= 7 {
		return fifths
	}
	return ((fifths+6)%12+12)%12 - 6
}

// firstBass is the pitch class of the lowest of the first notes struck, -1 of
// none.
func firstBass(tones []score.Tone) int {
	for i := range tones {
		if n := tones[i].First(); n.Plays() && !n.Grace {
			return tones[i].Pitch.Class() // of one onset the lowest comes first
		}
	}
	return -1
}

// lastBass is that of the last.
func lastBass(tones []score.Tone) int {
	last := -1
	for i := len(tones) - 1; i >= 0 && (last < 0 || tones[i].Onset == tones[last].Onset); i-- {
		if n := tones[i].First(); n.Plays() && !n.Grace {
			last = i
		}
	}
	if last < 0 {
		return -1
	}
	return tones[last].Pitch.Class()
}
