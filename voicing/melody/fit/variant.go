package main

import (
	"math/rand/v2"

	"undersong/voicing/melody/internal/model"
)

// The archive holds songs and songs remade. Music of other kinds, such as a
// classical sonata, a chorale, a study for the left hand, is made here from the
// same melodies over chords of the same songs, so that the trees have met it.

// variant makes another piece of a song, which it does not change; nil when
// there is too little of it.
type variant struct {
	name string
	make func(s *song, r *rand.Rand) *song
	use  []use
}

// use says that a variant is made of every nth song of a set, and how much
// each of its notes counts. The weights are small: what is made is not real
// music, and the mix decides what the trees take for likely.
type use struct {
	set    string
	nth    int
	weight float64
}

// Most music has its tune on top, so what is made has.
var variants = []variant{
	{"low", func(s *song, r *rand.Rand) *song { return s.moved(-12*(1+r.IntN(2)), 0, r) }, []use{{"pop", 1, .5}}},
	{"octave lower", func(s *song, r *rand.Rand) *song { return s.sung(-12, r) }, []use{{"lieder", 1, .1}}},
	{"octave higher", func(s *song, r *rand.Rand) *song { return s.sung(12, r) }, []use{{"lieder_low", 1, .5}}},
	{"under", func(s *song, r *rand.Rand) *song { return s.moved(-24, 12, r) }, []use{{"pop", 1, .5}}},
	{"top", func(s *song, r *rand.Rand) *song { return s.rewritten(r, onTop, onTop) }, anywhere(.6)},
	{"left hand", func(s *song, r *rand.Rand) *song { return s.rewritten(r, below, below) }, anywhere(.25)},
	{"both hands", func(s *song, r *rand.Rand) *song { return s.rewritten(r, below, onTop) }, anywhere(.25)},
	{"inside", func(s *song, r *rand.Rand) *song { return s.rewritten(r, inside, inside) }, anywhere(.15)},
	{"chorale", (*song).chorale, anywhere(.5)},
	// What is asked of a piece as a whole is answered otherwise by a part of it, so
	// that the fit does not know the song by heart.
	{"half", (*song).half, []use{{"pop", 1, .5}, {"pop_bridge", 1, 1.25}, {"pop_low", 1, .5}, {"pop_under", 1, .3}, {"lieder", 1, .3}, {"lieder_low", 1, .5}}},
	// Openings and short pieces, in which there is little to compare a note with.
	{"short", (*song).short, []use{{"lieder", 2, .5}, {"pop", 4, .3}}},
	{"short top", func(s *song, r *rand.Rand) *song { return s.rewritten(r, onTop, onTop).short(r) }, anywhere(1.5)},
	{"short left hand", func(s *song, r *rand.Rand) *song { return s.rewritten(r, below, below).short(r) }, anywhere(.5)},
	{"short inside", func(s *song, r *rand.Rand) *song { return s.rewritten(r, inside, inside).short(r) }, anywhere(.3)},
	{"short chorale", func(s *song, r *rand.Rand) *song { return s.chorale(r).short(r) }, anywhere(1)},
}

// anywhere is what is made of the songs of either archive. Those of the lieder
// have the note values of written music.
func anywhere(weight float64) []use { return []use{{"lieder", 2, weight}, {"pop", 6, weight / 8}} }

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
	for i, n := range s.music.Notes {
		by := rest
		if s.melody[i] {
			by = melody
		}
		if n.Pitch += key + by; n.Pitch >= 21 && n.Pitch <= 108 {
			notes = append(notes, labelled{n, s.melody[i]})
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

// short is some measures of s, up to 16, with melody in their first half; nil
// of nil.
func (s *song) short(r *rand.Rand) *song {
	if s == nil {
		return nil
	}
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

// half is about half of s: a quarter to three quarters of its measures.
func (s *song) half(r *rand.Rand) *song {
	all := len(s.measures) - 1
	measures := max(1, all/4+r.IntN(1+all/2))
	first := r.IntN(all - measures + 1)
	return s.excerpt(first, first+measures)
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
	for i, n := range s.music.Notes {
		if n.On >= start && n.On < end {
			n.On, n.End = n.On-start, min(n.End, end)-start
			notes = append(notes, labelled{n, s.melody[i]})
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

// The places of a melody: over its accompaniment, under it, or under it with a
// bass below.
const (
	onTop = iota
	below
	inside
	places
)

// passage is how a few measures of a remade song are written.
type passage struct {
	place   int // of the melody
	figure  figure
	double  int  // semitones below the melody of a second line, about; 0 without
	running runs // long notes are broken up
	octaves int  // the melody's move
}

// rewritten is the melody of s in its sounding measures, one after the other,
// over figures that follow its chords; passages with the melody at either of
// two places take turns.
func (s *song) rewritten(r *rand.Rand, first, second int) *song {
	active := s.active()
	slots := s.slots(func(m int) bool { return active[m] })
	if len(slots) < 8 {
		return nil
	}
	octaves := [places]int{s.octavesTo(74 + r.IntN(7)), s.octavesTo(48 + r.IntN(7)), s.octavesTo(58 + r.IntN(5))}
	key := r.IntN(7) - 3
	var notes []labelled
	var p passage
	until, turns := 0, [2]int{first, second}
	for k := range slots {
		if k >= until {
			place := turns[k/8%2]
			p = passage{
				place: place, figure: figures[r.IntN(len(figures))], octaves: octaves[place] + key,
				running: runsInUse[r.IntN(len(runsInUse))],
			}
			if place == onTop && r.IntN(4) == 0 {
				p.double = []int{4, 8, 12}[r.IntN(3)]
			}
			until = k + 8
		}
		notes = append(notes, p.write(s, &slots[k], key)...)
	}
	return s.joined(notes, slots)
}

// octavesTo is the move by octaves that brings the melody's mean nearest to
// pitch.
func (s *song) octavesTo(pitch int) int {
	sum, n := 0, 0
	for i, is := range s.melody {
		if is {
			sum, n = sum+s.music.Notes[i].Pitch, n+1
		}
	}
	return (pitch-sum/max(1, n)+126)/12*12 - 120
}

// joined is a song of notes in slots only, the gaps between them cut out.
func (s *song) joined(notes []labelled, slots []slot) *song {
	o := &song{set: s.set, id: s.id}
	shift := make([]int, len(slots))
	at := 0
	for k, l := range slots {
		shift[k] = at - l.from
		if s.isStart(l.from) {
			o.measures = append(o.measures, at)
		}
		at += l.to - l.from
	}
	o.measures = append(o.measures, at)
	k := 0
	for i := range notes {
		n := &notes[i].Note
		for k > 0 && n.On < slots[k].from {
			k--
		}
		for n.On >= slots[k].to {
			k++
		}
		n.On, n.End = n.On+shift[k], min(n.End+shift[k], at)
	}
	layOut(notes)
	o.fill(notes)
	return o
}

func (s *song) isStart(t int) bool { return s.measures[s.measureAt(t)] == t }

// write is the notes of one slot.
func (p *passage) write(s *song, o *slot, key int) []labelled {
	moved := *o
	moved.root = (o.root + key + 12) % 12
	low, high := o.lowest+p.octaves, o.highest+p.octaves
	if o.lowest == 0 {
		low, high = 67, 55
	}
	notes := p.melody(s, o, &moved)
	if p.place == onTop {
		return append(notes, p.figure(&moved, min(low-1, 64), true)...)
	}
	if p.place == inside {
		notes = append(notes, tone(o.from, o.to, moved.bass(min(low-7, 48))))
	}
	return append(notes, p.figure(&moved, max(high+9, 69), false)...)
}

// melody is the melody that begins in the slot.
func (p *passage) melody(s *song, o, moved *slot) []labelled {
	var notes []labelled
	for i := range s.melody {
		n := s.music.Notes[i]
		if !s.melody[i] || n.On < o.from || n.On >= o.to {
			continue
		}
		n.Pitch += p.octaves
		if p.running.step > 0 && n.Length() > p.running.step {
			notes = append(notes, p.running.of(n, moved)...)
		} else {
			notes = append(notes, labelled{n, true})
		}
		if p.double > 0 {
			n.Pitch = moved.chord(n.Pitch - p.double + 1)[2]
			if p.double == 12 {
				n.Pitch = s.music.Notes[i].Pitch + p.octaves - 12
			}
			notes = append(notes, labelled{n, false})
		}
	}
	return notes
}

// chorale is the melody of s with three voices moving under it.
func (s *song) chorale(r *rand.Rand) *song {
	active := s.active()
	slots := s.slots(func(m int) bool { return active[m] })
	if len(slots) < 8 {
		return nil
	}
	octaves := s.octavesTo(69)
	var notes []labelled
	k := 0
	for i, is := range s.melody {
		n := s.music.Notes[i]
		if !is {
			continue
		}
		for k+1 < len(slots) && n.On >= slots[k].to {
			k++
		}
		if n.On < slots[k].from {
			continue
		}
		n.Pitch += octaves
		notes = append(notes, labelled{n, true})
		if n.Length() < model.Quarter/2 || r.IntN(8) == 0 {
			continue
		}
		c := slots[k].chord(n.Pitch - 1)
		for _, p := range []int{c[2], c[1], slots[k].bass(c[1] - 7)} {
			m := n
			m.Pitch = p
			notes = append(notes, labelled{m, false})
		}
	}
	return s.joined(notes, slots)
}
