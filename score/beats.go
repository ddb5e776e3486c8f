package score

// Beats are the beats of each measure by the time signature that it starts
// with, as long as the measure has them; an unmeasured passage has none. Of
// several parts the first that says a time signature in a measure counts.
func (s *Score) Beats() [][]Time {
	beats := make([][]Time, s.MeasureCount())
	var now TimeSignature
	var usual []Time // beats of measures in which the time does not change
	for i := range beats {
		beats[i] = usual
		for _, p := range s.Parts {
			if i < len(p.Measures) && len(p.Measures[i].Times) > 0 {
				starts := p.Measures[i].firstTime(now)
				now = p.Measures[i].lastTime(now)
				beats[i], usual = starts.validBeats(), now.validBeats()
				break
			}
		}
	}
	return beats
}

// firstTime is the time signature that m starts with, after another.
func (m *Measure) firstTime(before TimeSignature) TimeSignature {
	for _, change := range m.Times {
		if change.Onset.Sign() == 0 {
			before = change.Time
		}
	}
	return before
}

// lastTime is the time signature that is in force after m, after another.
func (m *Measure) lastTime(before TimeSignature) TimeSignature {
	var at Time
	for _, change := range m.Times {
		if !change.Onset.Less(at) {
			before, at = change.Time, change.Onset
		}
	}
	return before
}

// validBeats are the beats of t, none where it is no time signature.
func (t TimeSignature) validBeats() []Time {
	if !validTime(t) {
		return nil
	}
	return t.Beats()
}

// BeatStarts are the onsets of all beats of the score, in time order, from the
// start of the piece as written. A measure that goes on after its last beat,
// and an unmeasured one, is counted on in quarters.
func (s *Score) BeatStarts() []Time {
	starts := s.Starts()
	var all []Time
	for i, beats := range s.Beats() {
		at := starts[i]
		for k := 0; at.Less(starts[i+1]); k++ {
			all = append(all, at)
			if k < len(beats) {
				at = at.Add(beats[k])
			} else {
				at = at.Add(Quarter)
			}
		}
	}
	return all
}
