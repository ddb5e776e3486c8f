package score

// Unplayed are the measures that the order of performance never comes to, as indexes, each
// with the one after the last: mostly for a wrong number of an ending. None where
// [Score.Performance] has an error.
func (s *Score) Unplayed() (ranges [][2]int) {
	order, err := s.Performance()
	if err != nil {
		return nil
	}
	played := make([]bool, s.MeasureCount())
	for _, o := range order {
		played[o.Measure] = true
	}
	for i, is := range played {
		switch last := len(ranges) - 1; {
		case is:
		case last >= 0 && ranges[last][1] == i:
			ranges[last][1]++
		default:
			ranges = append(ranges, [2]int{i, i + 1})
		}
	}
	return ranges
}
