package main

import (
	"fmt"
	"io"

	"undersong/voicing/melody/internal/model"
)

// reliability tells how often what the finder says of a phrase is true: by
// tenths of sureness, the notes of phrases, the sum of their sureness in per
// cent, and the notes that are melody.
type reliability [10]struct{ notes, sure, right int }

// add adds the phrases of a melody found in s.
func (r *reliability) add(s *song, scores, melody []int) {
	for _, p := range stretches(s.music, melody) {
		sure := model.Sure(scores, p)
		bin := &r[min(sure/10, 9)]
		bin.notes += len(p)
		bin.sure += sure * len(p)
		for _, i := range p {
			if s.melody[i] {
				bin.right++
			}
		}
	}
}

// stretches parts a melody at rests of an eighth or more and after notes of a
// half or more, about as package melody parts it into phrases.
func stretches(m *model.Music, melody []int) [][]int {
	var all [][]int
	first := 0
	for k, i := range melody {
		last := k == len(melody)-1
		breath := m.Notes[i].Length() >= 2*model.Quarter ||
			!last && m.Notes[melody[k+1]].On-m.Notes[i].End >= model.Quarter/2
		if last || breath && k-first >= 2 {
			all = append(all, melody[first:k+1])
			first = k + 1
		}
	}
	return all
}

func (r *reliability) print(w io.Writer) {
	fmt.Fprintf(w, "\n| sure, per cent | notes | mean sureness | melody |\n|---|---|---|---|\n")
	for k, bin := range r {
		if bin.notes > 0 {
			fmt.Fprintf(w, "| %d to %d | %d | %.3f | %.3f |\n", 10*k, 10*k+9, bin.notes,
				float64(bin.sure)/float64(100*bin.notes), ratio(bin.right, bin.notes))
		}
	}
}
