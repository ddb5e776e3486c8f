package main

import "undersong/voicing/melody/internal/model"

// runs is how the long notes of a melody are broken up: into notes of step
// ticks that go through turn, scale degrees or chord tones away from the note.
// The zero value leaves them.
type runs struct {
	step  int
	chord bool
	turn  []int
}

var runsInUse = []runs{
	{}, {}, {}, {},
	{model.Quarter / 4, true, []int{0, -1, -2, -1}},
	{model.Quarter / 4, false, []int{0, 1, 0, -1}},
	{model.Quarter / 4, false, []int{0, 1, 2, 3, 4, 3, 2, 1}},
	{model.Quarter / 4, false, []int{0, -1, -2, -3, -4, -5, -6, -7}},
	{model.Quarter / 2, true, []int{0, -1, -2, -3}},
	{model.Quarter / 2, true, []int{0, 1, 2, 1}},
	{model.Quarter / 3, true, []int{0, -1, -2}},
	{model.Quarter / 2, false, []int{0}},
}

// of is the notes that n is broken up into.
func (r *runs) of(n model.Note, o *slot) []labelled {
	scale := []int{o.root, o.root + 2, o.root + o.third, o.root + 5, o.root + 7, o.root + 9, o.root + 11}
	if r.chord {
		scale = []int{o.root, o.root + o.third, o.root + 7}
	}
	var notes []labelled
	for k, t := 0, n.On; t < n.End; k, t = k+1, t+r.step {
		m := n
		m.On, m.End = t, min(n.End, t+r.step)
		m.Pitch = along(scale, n.Pitch, r.turn[k%len(r.turn)])
		notes = append(notes, labelled{m, true})
	}
	return notes
}

// along is the pitch that many degrees of the scale, pitch classes, from
// pitch.
func along(scale []int, pitch, degrees int) int {
	step := 1
	if degrees < 0 {
		step, degrees = -1, -degrees
	}
	for degrees > 0 {
		pitch += step
		for _, s := range scale {
			if (pitch-s)%12 == 0 {
				degrees--
				break
			}
		}
	}
	return pitch
}
