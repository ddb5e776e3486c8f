package score

import "slices"

// clone is a copy of m that shares nothing that can be changed with it.
func (m *Measure) clone() *Measure {
	c := *m
	c.Notes = slices.Clone(m.Notes)
	for i := range c.Notes {
		c.Notes[i].Marks = slices.Clone(c.Notes[i].Marks)
		c.Notes[i].Lyrics = slices.Clone(c.Notes[i].Lyrics)
	}
	c.Keys = slices.Clone(m.Keys)
	c.Times = slices.Clone(m.Times)
	for i := range c.Times {
		c.Times[i].Time = c.Times[i].Time.clone()
	}
	c.Clefs = slices.Clone(m.Clefs)
	c.Transposes = slices.Clone(m.Transposes)
	c.Directions = slices.Clone(m.Directions)
	for i := range c.Directions {
		c.Directions[i].Signs = slices.Clone(c.Directions[i].Signs)
	}
	c.Chords = slices.Clone(m.Chords)
	for i := range c.Chords {
		c.Chords[i].Degrees = slices.Clone(c.Chords[i].Degrees)
	}
	c.Barlines = slices.Clone(m.Barlines)
	c.Others = slices.Clone(m.Others)
	return &c
}

func (t TimeSignature) clone() TimeSignature {
	t.Groups = slices.Clone(t.Groups)
	for i := range t.Groups {
		t.Groups[i].Beats = slices.Clone(t.Groups[i].Beats)
	}
	return t
}
