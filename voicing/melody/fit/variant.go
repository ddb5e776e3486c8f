package main

import "math/rand/v2"

// More is learned from the songs when parts of them, and what they are in another key or
// with their melody in another octave, are songs as well.

// variant makes another piece of a song, which it does not change; nil when that has too
// little melody.
type variant struct {
	name string
	make func(s *song, r *rand.Rand) *song
	use  []use
}

// use says that a variant is made of every nth song of a set, and how much
// each of its notes counts: the mix decides what the trees take for likely.
type use struct {
	set    string
	nth    int
	weight float64
}

var variants = []variant{
	{"low", func(s *song, r *rand.Rand) *song { return s.moved(-12*(1+r.IntN(2)), 0, r) }, []use{{"pop", 1, .5}}},
	{"octave lower", func(s *song, r *rand.Rand) *song { return s.sung(-12, r) }, []use{{"lieder", 1, .1}}},
	{"octave higher", func(s *song, r *rand.Rand) *song { return s.sung(12, r) }, []use{{"lieder_low", 1, .5}}},
	{"under", func(s *song, r *rand.Rand) *song { return s.moved(-24, 12, r) }, []use{{"pop", 1, .5}}},
	{"another key", func(s *song, r *rand.Rand) *song { return s.with(s.shifted(0, 0, r)) }, []use{{"piano", 1, 1}}},
	// What is asked of a piece as a whole is answered otherwise by a part of it, so
	// that the fit does not know the song by heart.
	{"half", (*song).half, []use{{"pop", 1, .5}, {"pop_bridge", 1, 1.25}, {"pop_low", 1, .5}, {"pop_under", 1, .3}, {"lieder", 1, .3}, {"lieder_low", 1, .5}, {"piano", 1, .7}}},
	// Openings and short pieces, in which there is little to compare a note with.
	{"short", (*song).short, []use{{"lieder", 2, .5}, {"pop", 4, .3}, {"piano", 1, .7}}},
}

// weight is how much a note counts of the variant of the i-th song, of the
// given set; 0 not to make it.
func (v *variant) weight(set string, i int) float64 {
	for _, u := range v.use {
		if u.set == set && i%u.nth == 0 {
			return u.weight
		}
	}
	return 0
}

// of is the variant of the i-th song; nil when none is made of it.
func (v *variant) of(s *song, i int) *song {
	if v.weight(s.set, i) == 0 {
		return nil
	}
	return v.make(s, rand.New(rand.NewPCG(hash(v.name+s.id), 7)))
}

// moved is s with its melody and all else moved by octaves, in another key, written
// for two hands anew.
func (s *song) moved(melody, rest int, r *rand.Rand) *song {
	notes := s.shifted(melody, rest, r)
	layOut(notes)
	return s.with(notes)
}

// shifted is the notes of s, its melody and the rest moved, in another key; those that
// a piano does not have are left out.
func (s *song) shifted(melody, rest int, r *rand.Rand) []labelled {
	key := r.IntN(7) - 3
	var notes []labelled
	for _, n := range s.labelled() {
		by := rest
		if n.melody {
			by = melody
		}
		if n.Pitch += key + by; n.Pitch >= 21 && n.Pitch <= 108 {
			notes = append(notes, n)
		}
	}
	return notes
}

// lowestAbove is the lowest pitch of a melody on the upper staff, as in the songs of
// the archive whose melody was moved: G3.
const lowestAbove = 55

// sung is s with its melody moved over its accompaniment as it stands, in another
// key.
func (s *song) sung(by int, r *rand.Rand) *song {
	notes := s.shifted(by, 0, r)
	for i := range notes {
		if n := &notes[i]; n.melody {
			n.Hand = 0
			if n.Pitch < lowestAbove {
				n.Hand = 1
			}
		}
	}
	layVoices(notes)
	return s.with(notes)
}

// short is some measures of s, up to 16; nil without melody in their first half.
func (s *song) short(r *rand.Rand) *song {
	all := len(s.measures) - 1
	measures := min(5+r.IntN(12), all)
	first := r.IntN(all - measures + 1)
	o := s.excerpt(first, first+measures)
	for m, is := range o.active() {
		if is && 2*m <= measures {
			return o
		}
	}
	return nil
}

// half is about half of s: a quarter to three quarters of its measures; nil where
// nothing is struck in them.
func (s *song) half(r *rand.Rand) *song {
	all := len(s.measures) - 1
	measures := max(1, all/4+r.IntN(1+all/2))
	first := r.IntN(all - measures + 1)
	if o := s.excerpt(first, first+measures); len(o.melody) > 0 {
		return o
	}
	return nil
}

// excerpt is the measures of s from first to before last. Notes that begin
// before them are left out.
func (s *song) excerpt(first, last int) *song {
	o := &song{set: s.set, id: s.id}
	start, end := s.measures[first], s.measures[last]
	for _, m := range s.measures[first : last+1] {
		o.measures = append(o.measures, m-start)
	}
	var notes []labelled
	for _, n := range s.labelled() {
		if n.On >= start && n.On < end {
			n.On, n.End = n.On-start, min(n.End, end)-start
			notes = append(notes, n)
		}
	}
	o.fill(notes)
	return o
}

// with is a song of other notes in the measures of s.
func (s *song) with(notes []labelled) *song {
	o := &song{set: s.set, id: s.id, measures: s.measures}
	o.fill(notes)
	return o
}
