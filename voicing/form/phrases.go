package form

import (
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
)

// Phrases are the phrases of a melody parted where a section begins inside one,
// as where the score heads a section in the middle of it.
func Phrases(tones []score.Tone, line melody.Line, sections []Section) []melody.Phrase {
	onset := func(k int) score.Time { return tones[line.Tones[k]].Onset }
	var all []melody.Phrase
	next := 0 // the first section that may cut
	for _, p := range line.Phrases {
		for next < len(sections) && !onset(p.First).Less(sections[next].From) {
			next++
		}
		for _, s := range sections[next:] {
			if onset(p.Last - 1).Less(s.From) {
				break
			}
			k := p.First
			for k < p.Last && onset(k).Less(s.From) {
				k++
			}
			if k == p.First || k == p.Last {
				continue
			}
			head, tail := p, p
			head.Last, tail.First = k, k
			later := slices.IndexFunc(p.Rival, func(i int) bool { return !tones[i].Onset.Less(s.From) })
			if later < 0 {
				later = len(p.Rival)
			}
			head.Rival, tail.Rival = p.Rival[:later], p.Rival[later:]
			for _, part := range []*melody.Phrase{&head, &tail} {
				if len(part.Rival) == 0 {
					part.RivalFrom = ""
				}
			}
			all, p = append(all, head), tail
		}
		all = append(all, p)
	}
	return all
}
