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
func (m *moment) echoes(tune []*note) (keys []int) {
	after, _ := slices.BinarySearchFunc(tune, m.onset, func(n *note, t score.Time) int { return n.Onset.Cmp(t) })
	for _, n := range tune[max(0, after-1):min(after+1, len(tune))] {
		if max(n.at-m.at, m.at-n.at) < echoTime {
			keys = append(keys, n.key())
		}
	}
	return keys
}
