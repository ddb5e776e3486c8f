package score

import "cmp"

// form is what decides the order of performance.
type form struct {
	measures []formMeasure
	sections []section // by start
}

// formMeasure gathers the signs of one measure of all parts.
type formMeasure struct {
	number      string
	forward     bool
	backward    bool
	times       int
	afterJump   bool
	endings     []string // of the voltas that start here
	endingStop  bool
	segnos      []string // labels, "" where there is none
	codas       []string
	codaSign    bool // a coda sign without words or sound
	fine        sign
	toCoda      sign
	toCodaWords bool
	jump        jump

	begins []int // sections that start here
	closes []int // sections gone back in after this measure, inner ones last
	group  int   // the section in one of whose endings this measure is, or -1
}

// sign is one of the signs of a jump, or none.
type sign struct {
	set             bool
	label, timeOnly string
}

// jump is a D.C. or D.S.
type jump struct {
	sign
	dalSegno bool
	aim      aim
}

// aim is what a jump back leads to, if its words say so.
type aim int8

const (
	aimAny aim = iota
	aimFine
	aimCoda
)

// readForm gathers the signs of all parts.
func readForm(s *Score) (*form, error) {
	// One more than there are, for the signs at the very end.
	f := &form{measures: make([]formMeasure, s.MeasureCount()+1)}
	for _, p := range s.Parts {
		for i, m := range p.Measures {
			f.measures[i].number = m.Number
			for j := range m.Barlines {
				if err := f.barline(i, &m.Barlines[j]); err != nil {
					return nil, err
				}
			}
			for j := range m.Directions {
				f.sound(edge(i, m, &m.Directions[j]), i, &m.Directions[j])
			}
		}
	}
	for _, p := range s.Parts {
		for i, m := range p.Measures {
			for j := range m.Directions {
				f.words(edge(i, m, &m.Directions[j]), i, &m.Directions[j])
			}
		}
	}
	f.measures = f.measures[:len(f.measures)-1]
	f.bareCodas()
	return f, nil
}

// edge is the measure that a sign of a start (segno, coda, forward repeat)
// belongs to: the next one where it stands at the end.
func edge(i int, m *Measure, d *Direction) int {
	if d.Onset.Sign() > 0 && !d.Onset.Less(m.Length) {
		return i + 1
	}
	return i
}

func (f *form) barline(i int, b *Barline) error {
	start, end := i, i
	switch {
	case b.Location == "right":
		start = i + 1
	case b.Location == "left":
		end = max(i-1, 0)
	case b.Repeat != "":
		return f.at(i, "a repeat inside the measure: split the measure there")
	}
	switch b.Repeat {
	case "forward":
		f.measures[start].forward = true
	case "backward":
		m := &f.measures[end]
		m.backward = true
		m.times = max(m.times, cmp.Or(max(b.Times, 0), 2))
		m.afterJump = m.afterJump || b.AfterJump
	}
	switch b.Ending.Type {
	case "start":
		f.measures[i].endings = append(f.measures[i].endings, b.Ending.Numbers)
	case "stop", "discontinue":
		f.measures[end].endingStop = true
	}
	if b.Segno {
		f.measures[start].segnos = append(f.measures[start].segnos, b.SegnoLabel)
	}
	if b.Coda {
		f.measures[start].codas = append(f.measures[start].codas, b.CodaLabel)
	}
	return nil
}

// sound takes what a direction means to the order of performance. Signs of a
// start count for measure start, the others for measure i.
func (f *form) sound(start, i int, d *Direction) {
	s, from, m := &d.Sound, &f.measures[start], &f.measures[i]
	from.forward = from.forward || s.ForwardStart
	if s.Segno != "" {
		from.segnos = append(from.segnos, s.Segno)
	}
	if s.Coda != "" {
		from.codas = append(from.codas, s.Coda)
	}
	if s.Fine {
		m.fine = sign{set: true, timeOnly: s.TimeOnly}
	}
	if s.ToCoda != "" {
		m.toCoda = sign{true, s.ToCoda, s.TimeOnly}
	}
	switch {
	case s.DalSegno != "":
		m.jump = jump{sign: sign{true, s.DalSegno, s.TimeOnly}, dalSegno: true}
	case s.DaCapo:
		m.jump = jump{sign: sign{set: true, timeOnly: s.TimeOnly}}
	}
}

// words takes what the words and signs of a direction say, where no sound of
// its measure has said it.
func (f *form) words(start, i int, d *Direction) {
	from, m := &f.measures[start], &f.measures[i]
	w := readFormWords(d)
	if w.segno && len(from.segnos) == 0 {
		from.segnos = append(from.segnos, "")
	}
	if w.jump {
		if !m.jump.set {
			m.jump = jump{sign: sign{set: true}, dalSegno: w.dalSegno}
		}
		m.jump.aim = w.aim
	}
	if w.fine {
		m.fine.set = true
	}
	if w.toCoda {
		m.toCoda.set, m.toCodaWords = true, true
	}
	switch {
	case w.coda && len(from.codas) == 0:
		from.codas = append(from.codas, "")
	case w.codaSign && !w.toCoda && len(from.codas) == 0:
		from.codaSign = true
	}
}

// bareCodas decides what coda signs mean that stand without sound and words:
// beside To Coda nothing more, else the coda; the first of several, where the
// score has no To Coda, is the place to leave. "al Coda" beside a jump is the
// jump's aim, no To Coda.
func (f *form) bareCodas() {
	var bare []int
	leaves := false
	for i := range f.measures {
		m := &f.measures[i]
		if m.toCodaWords && m.jump.set && m.toCoda.label == "" {
			m.toCoda, m.jump.aim = sign{}, aimCoda
		}
		if m.codaSign && !m.toCoda.set {
			bare = append(bare, i)
		}
		leaves = leaves || m.toCoda.set
	}
	if !leaves && len(bare) > 1 {
		f.measures[bare[0]].toCoda.set = true
		bare = bare[1:]
	}
	for _, i := range bare {
		f.measures[i].codas = append(f.measures[i].codas, "")
	}
}
