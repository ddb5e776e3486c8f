package refit

import (
	"slices"

	"undersong/score"
)

// merge finds the notes that come to strike a key with another note of their
// chord: they are one, that which is marked as melody, else the longer.
func (r *refit) merge() {
	type strike struct {
		part, staff, voice int
		onset              score.Time
		key                int
	}
	kept := map[strike]int{}
	for i := range r.tones {
		t, n, u := &r.tones[i], r.tones[i].First(), r.units[i]
		if u == nil || u.gone || n.Grace {
			continue
		}
		at := strike{t.Part, n.Staff, n.Voice, t.Onset, r.key(i)}
		other, twice := kept[at]
		switch {
		case !twice || r.units[other].octaves == u.octaves: // two of the source are left to it
			kept[at] = i
		case r.keeps(i, other):
			r.merged[other], kept[at] = true, i
		default:
			r.merged[i] = true
		}
	}
	r.into = map[*score.Note][]*score.Note{}
	for i := range r.tones {
		if r.merged[i] {
			t, n := &r.tones[i], r.tones[i].First()
			to := r.tones[kept[strike{t.Part, n.Staff, n.Voice, t.Onset, r.key(i)}]].First()
			r.into[to] = append(r.into[to], n)
		}
	}
}

// keeps tells whether of two notes of one key the first is the one to keep.
func (r *refit) keeps(i, other int) bool {
	a, b := &r.tones[i], &r.tones[other]
	if a.First().Leads() != b.First().Leads() {
		return a.First().Leads()
	}
	return b.Length.Less(a.Length)
}

// score is the source with its moved notes.
func (r *refit) score() *score.Score {
	moves, gone := map[*score.Note]int{}, map[*score.Note]bool{}
	for i, u := range r.units {
		for _, p := range r.tones[i].Pieces {
			switch {
			case u == nil:
			case u.gone || r.merged[i]:
				gone[p.Note] = true
			case u.octaves != 0:
				moves[p.Note] = u.octaves
			}
		}
	}
	out := *r.source
	out.Made = "fitted to tower " + r.tower.Name
	out.Parts = nil
	for _, p := range r.source.Parts {
		q := *p
		q.Measures = slices.Clone(p.Measures)
		for i, m := range p.Measures {
			q.Measures[i] = r.measure(m, moves, gone)
		}
		out.Parts = append(out.Parts, &q)
	}
	return &out
}

// measure is m with its notes moved by octaves, and a rest where all of a chord
// are gone; m itself where nothing is. What stands at a note that is merged stands at
// the one that is kept.
func (r *refit) measure(m *score.Measure, moves map[*score.Note]int, gone map[*score.Note]bool) *score.Measure {
	type chord struct {
		staff, voice int
		onset        score.Time
	}
	of := func(n *score.Note) chord { return chord{n.Staff, n.Voice, n.Onset} }
	filled := map[chord]bool{}
	same := true
	for i := range m.Notes {
		n := &m.Notes[i]
		same = same && !gone[n] && moves[n] == 0 && r.into[n] == nil
		filled[of(n)] = filled[of(n)] || !n.Grace && !gone[n]
	}
	if same {
		return m
	}
	c := *m
	c.Notes = nil
	for i := range m.Notes {
		n := &m.Notes[i]
		switch {
		case !gone[n]:
			note := *n
			note.Pitch = n.Pitch.Octaves(moves[n])
			for _, o := range r.into[n] {
				note.Marks = withMarks(note.Marks, o.Marks)
				if len(note.Lyrics) == 0 {
					note.Lyrics = o.Lyrics
				}
			}
			c.Notes = append(c.Notes, note)
		case !n.Grace && !filled[of(n)]:
			filled[of(n)] = true
			c.Notes = append(c.Notes, score.Note{
				Kind: score.Rest, Staff: n.Staff, Voice: n.Voice, Onset: n.Onset, Length: n.Length, Ratio: n.Ratio, Outer: n.Outer,
			})
		}
	}
	return &c
}

// withMarks are marks and those of others that are not among them.
func withMarks(marks, others []score.Mark) []score.Mark {
	marks = slices.Clip(marks)
	for _, o := range others {
		if !slices.ContainsFunc(marks, func(m score.Mark) bool { return m.Name == o.Name && m.Type == o.Type && m.Number == o.Number }) {
			marks = append(marks, o)
		}
	}
	return marks
}
