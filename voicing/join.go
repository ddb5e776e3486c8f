package voicing

import "undersong/score"

// Join makes one stroke of notes that strike the same key at the same
// moment: hands and feet move the same clapper (TowerBells.org, "Keyboard
// Ranges").
type Join struct{}

// Name is "join".
func (Join) Name() string { return "join" }

// Apply implements [Pass]. The melody's note stays, else the bass's, else the
// longest.
func (Join) Apply(a *Arrangement) {
	type stroke struct {
		onset score.Time
		key   int
	}
	struck := map[stroke]*Note{}
	for _, role := range []Role{Melody, Bass, Accompaniment} {
		for _, n := range a.with(role) {
			if n.Grace() {
				continue
			}
			at := stroke{n.Onset, n.Key()}
			switch first := struck[at]; {
			case first == nil:
				struck[at] = n
			case first.Role == role && first.Written.Less(n.Written):
				struck[at] = n
				a.leaveOut(first, "strikes the same key as another note")
			default:
				a.leaveOut(n, "strikes the same key as another note")
			}
		}
	}
}
