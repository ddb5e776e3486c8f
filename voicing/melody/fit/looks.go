package main

import (
	"hash/fnv"
	"sync"

	"undersong/voicing/melody/internal/model"
)

// sample is a song ready to be learned from.
type sample struct {
	*song
	weight float64
	view   *model.View
	rows   [][]int16 // of the look at hand
	scores []int     // by forests that have not seen the song
}

// newSample is a sample of s whose rows each count weight.
func newSample(s *song, weight float64) *sample {
	return &sample{song: s, weight: weight, view: model.NewView(s.music)}
}

// plan is how the forests of all looks are grown.
type plan [model.Looks]growth

// usualPlan spends most on the last look, which decides.
func usualPlan() plan {
	first := growth{trees: 500, rate: .15, rows: .25, columns: .3, ridge: 5, seed: 1}
	second, last := first, first
	second.trees = 600
	last.trees, last.rate, last.columns = 6000, .05, .2
	return plan{first, second, last}
}

// fitForests fits the forests for written and for played music. Each also
// learns from a few pieces of the other kind, so as not to be lost when one is
// taken for the other. The two are fitted at once.
func fitForests(samples []*sample, how plan) *model.Forests {
	var written, played []*sample
	for i, s := range samples {
		own, other := &written, &played
		if s.view.Played() {
			own, other = other, own
		}
		*own = append(*own, s)
		if i%12 == 0 {
			*other = append(*other, newSample(s.song, s.weight/3))
		}
	}
	f := &model.Forests{}
	var wg sync.WaitGroup
	wg.Go(func() { f.Written = fitLooks(written, how) })
	f.Played = fitLooks(played, how)
	wg.Wait()
	return f
}

// shares is into how many shares songs are dealt to score one another.
const shares = 4

// fitLooks fits the forests of all looks to samples. Each look but the first
// learns from the scores that the look before gives to songs it has not seen:
// every share of the songs is scored by a forest of the others.
func fitLooks(samples []*sample, how plan) (looks [model.Looks]model.Forest) {
	for _, s := range samples {
		s.scores = nil
	}
	for k := range looks {
		for _, s := range samples {
			s.rows = s.view.Rows(s.scores)
		}
		looks[k] = fit(samples, how[k])
		if k == len(looks)-1 {
			break
		}
		for share := range shares {
			in, out := deal(samples, share)
			f := fit(out, how[k])
			for _, s := range in {
				s.scores = f.Scores(s.rows, s.scores)
			}
		}
	}
	for _, s := range samples {
		s.rows = nil
	}
	return looks
}

// deal parts the samples into those of a share and the others.
func deal(samples []*sample, share int) (in, out []*sample) {
	for _, s := range samples {
		if foldOf("share"+s.id, shares) == share {
			in = append(in, s)
		} else {
			out = append(out, s)
		}
	}
	return in, out
}

// fit grows one forest on the rows of samples.
func fit(samples []*sample, how growth) model.Forest {
	var rows [][]int16
	var is []bool
	var weights []float64
	for _, s := range samples {
		for i, row := range s.rows {
			if row != nil {
				rows, is, weights = append(rows, row), append(is, s.melody[i]), append(weights, s.weight)
			}
		}
	}
	return grow(newTable(rows, is, weights), how)
}

// foldOf puts all songs of one id into the same of n folds.
func foldOf(id string, n int) int {
	h := fnv.New32a()
	h.Write([]byte(id))
	return int(h.Sum32()>>8) % n
}
