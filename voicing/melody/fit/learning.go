package main

import "hash/fnv"

// setWeights say how much a note of a set counts. The mix decides what the
// trees take for likely, so the sets keep about the shares they have; small
// and hard ones count more.
var setWeights = map[string]float64{"pop_bridge": 2.5, "lieder_low": 1.5, "piano": 2}

// learning is the samples to fit to: the songs and variants of some.
func learning(songs []*song) []*sample {
	var samples []*sample
	for i, s := range songs {
		weight := setWeights[s.set]
		if weight == 0 {
			weight = 1
		}
		samples = append(samples, newSample(s, weight))
		for _, v := range variants {
			if made := v.of(s, i); made != nil {
				samples = append(samples, newSample(made, v.weight(s.set, i)))
			}
		}
	}
	return samples
}

func hash(text string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(text))
	return h.Sum64()
}
