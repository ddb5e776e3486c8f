package main

import "undersong/voicing/melody/internal/model"

// figure writes an accompaniment over one slot. at is the highest note it may
// strike when under is set, else the highest it should reach.
type figure func(o *slot, at int, under bool) []labelled

var figures = []figure{
	broken(model.Quarter/2, 0, 2, 1, 2),
	broken(model.Quarter/4, 0, 2, 1, 2),
	broken(model.Quarter/2, 0, 1, 2, 1),
	broken(model.Quarter/3, 0, 1, 2),
	broken(model.Quarter/4, 2, 1, 0, 1),
	chords(3, 2*model.Quarter, 0),
	chords(3, model.Quarter, 0),
	chords(3, model.Quarter/2, 0),
	chords(3, model.Quarter, model.Quarter/2),
	chords(3, model.Quarter/3, 0),
	chords(2, model.Quarter/2, 0),
	chords(2, model.Quarter, model.Quarter/2),
	chords(2, 2*model.Quarter, model.Quarter),
	bassAndChords(model.Quarter),
	bassAndChords(model.Quarter / 2),
	plainBass,
}

// broken strikes the tones of the chord one by one in the given order.
func broken(step int, order ...int) figure {
	return func(o *slot, at int, under bool) []labelled {
		var notes []labelled
		c := o.chord(at)
		for k, t := 0, o.from; t < o.to; k, t = k+1, t+step {
			notes = append(notes, tone(t, min(t+step, o.to), c[order[k%len(order)]]))
		}
		return notes
	}
}

// chords repeats the upper tones of the chord every step, after a rest.
func chords(tones, step, rest int) figure {
	return func(o *slot, at int, under bool) []labelled {
		var notes []labelled
		for t := o.from + rest; t < o.to; t += step {
			c := o.chord(at)
			for _, p := range c[3-tones:] {
				notes = append(notes, tone(t, min(t+step-rest, o.to), p))
			}
		}
		return notes
	}
}

// bassAndChords has a low note on the slot's first step and chords on the
// others; above a melody, where no bass belongs, only the chords.
func bassAndChords(step int) figure {
	return func(o *slot, at int, under bool) []labelled {
		var notes []labelled
		c := o.chord(at)
		if under {
			notes = append(notes, tone(o.from, o.from+step, o.bass(c[0]-5)))
		}
		for t := o.from + step; t < o.to; t += step {
			for _, p := range c {
				notes = append(notes, tone(t, t+step, p))
			}
		}
		return notes
	}
}

// plainBass is one note, in octaves below a melody.
func plainBass(o *slot, at int, under bool) []labelled {
	if !under {
		c := o.chord(at)
		return []labelled{tone(o.from, o.to, c[2]), tone(o.from, o.to, c[1])}
	}
	b := o.bass(min(at, 52))
	return []labelled{tone(o.from, o.to, b), tone(o.from, o.to, b-12)}
}

func tone(on, end, pitch int) labelled {
	return labelled{model.Note{On: on, End: end, Pitch: pitch}, false}
}
