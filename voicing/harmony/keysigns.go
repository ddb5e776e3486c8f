package harmony

import "undersong/score"

// mainSignature is the number of sharps in force longest at concert pitch, nil
// where the score has no signature.
func mainSignature(s *score.Score) *int {
	starts := s.Starts()
	for _, p := range s.Parts {
		longest := map[int]float64{}
		var now *int
		by := 0
		for i, m := range p.Measures {
			for _, t := range m.Transposes {
				by = 7*t.Semitones - 12*t.Letters
			}
			for _, k := range m.Keys {
				if !k.Key.Free {
					fifths := k.Key.Fifths + by
					now = &fifths
				}
			}
			if now != nil {
				longest[*now] += starts[i+1].Sub(starts[i]).Quarters()
			}
		}
		if now == nil {
			continue
		}
		best := *now
		for fifths := -20; fifths <= 20; fifths++ {
			if longest[fifths] > longest[best] {
				best = fifths
			}
		}
		for best > 7 {
			best -= 12
		}
		for best < -7 {
			best += 12
		}
		return &best
	}
	return nil
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
