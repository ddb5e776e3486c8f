package model

// Rival is the best line through the notes of the time from the first of
// chosen to the last that leaves all of them out. chosen are some notes in
// time order, scores those of all notes.
func (m *Music) Rival(scores, chosen []int) []int {
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
	var notes []int
	for _, k := range others.Chain(raised) {
		notes = append(notes, from[k])
	}
	return notes
}

// Sure is how many of the chosen notes are expected to be melody, in per cent.
// Scores are those of the forests: the fit makes them the logits of what came
// true, and README.md shows how nearly it does. Those by rules are on a scale that
// is only like it. Of none it is 0.
func Sure(scores, chosen []int) int {
	sum := 0
	for _, i := range chosen {
		sum += chance(scores[i])
	}
	return (sum/max(1, len(chosen)) + 5) / 10
}

// logistic is 1000/(1+exp(-x)) for x = 0, 1/2, 1, ... 8: a table, so that all
// machines agree.
var logistic = [...]int{500, 622, 731, 818, 881, 924, 953, 971, 982, 989, 993, 996, 998, 998, 999, 999, 1000}

// chance is a score as a share of 1000.
func chance(score int) int {
	if score < 0 {
		return 1000 - chance(-score)
	}
	k := score / 500
	if k >= len(logistic)-1 {
		return logistic[len(logistic)-1]
	}
	return logistic[k] + (logistic[k+1]-logistic[k])*(score%500)/500
}
