package model

// Rival is the best line through the notes of the time from the first of
// chosen to the last that leaves all of them out, and how sure, in per cent,
// chosen is against it. chosen are some notes in time order, scores those of
// all notes.
func (m *Music) Rival(scores, chosen []int) (notes []int, sure int) {
	first, last := chosen[0], chosen[len(chosen)-1]
	for first > 0 && m.Notes[first-1].On == m.Notes[first].On {
		first--
	}
	for last+1 < len(m.Notes) && m.Notes[last+1].On == m.Notes[last].On {
		last++
	}
	var others Music
	var raised []int
	var from []int // where the notes of others are in m
	next := 0
	for i := first; i <= last; i++ {
		if next < len(chosen) && chosen[next] == i {
			next++
			continue
		}
		others.Notes = append(others.Notes, m.Notes[i])
		// Raised, so that the rival is a line and not the few best notes.
		raised = append(raised, scores[i]+4000)
		from = append(from, i)
	}
	others.group()
	for _, k := range others.Chain(raised) {
		notes = append(notes, from[k])
	}
	margin := average(scores, chosen)
	if len(notes) > 0 {
		margin -= average(scores, notes)
	} else {
		margin += 4000
	}
	return notes, likelihood(margin) / 10
}

func average(scores, notes []int) int {
	sum := 0
	for _, i := range notes {
		sum += scores[i]
	}
	return sum / len(notes)
}
