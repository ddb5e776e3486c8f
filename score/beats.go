package score

// Beats are the beats of each measure by the time signature in force, as long
// as the measure has them; an unmeasured passage has none. Of several parts the
// first that says a time signature in a measure counts.
func (s *Score) Beats() [][]Time {
	var beats [][]Time
	var now []Time
	for i := range s.MeasureCount() {
		for _, p := range s.Parts {
			if i < len(p.Measures) && len(p.Measures[i].Times) > 0 {
				now = p.Measures[i].Times[0].Time.Beats()
				break
			}
		}
		beats = append(beats, now)
	}
	return beats
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
