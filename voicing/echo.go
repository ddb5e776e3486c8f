package voicing

import (
	"slices"

	"undersong/score"
)

// echoTime is how soon before or after a note of the melody, in seconds, its bell is
// heard for the melody's when the accompaniment strikes it alone in a rest: the
// project's own figure.
const echoTime = 2.0

// gripEchoCost is that of such a key: more than the fifth of a chord is worth, less than
// its third. A running figure pays nothing: it is heard as one.
const gripEchoCost = 3.0

// echoes are the keys that the melody, which rests at a moment, struck just before it
// and strikes just after.
func (m *moment) echoes(tunes []*note) (keys []int) {
	around, _ := tuneAround(tunes, m.onset)
	for _, n := range around {
		if max(n.at-m.at, m.at-n.at) < echoTime {
			keys = append(keys, n.key())
		}
	}
	return keys
}

// tuneAround are two of the notes of a tune, which are in time order: the last before a
// moment, and the first from then on, whose index is after. Either may be missing.
func tuneAround(tunes []*note, onset score.Time) (around []*note, after int) {
	after, _ = slices.BinarySearchFunc(tunes, onset, func(n *note, t score.Time) int { return n.Onset.Cmp(t) })
	return tunes[max(0, after-1):min(after+1, len(tunes))], after
}
