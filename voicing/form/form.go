package form

import (
	"slices"
	"sync"

	"undersong/score"
	"undersong/voicing/melody"
)

// Section is a stretch of the piece that belongs together. Sections follow
// each other without gaps from the beginning to the end.
type Section struct {
	// Name is what the score calls it, or what its place says (Intro,
	// Interlude, Ending), or its letter: A, B, and A′ for one that is nearly A
	// or begins as A does.
	Name string
	Kind Kind
	// Letter is the same for sections whose melodies are alike; with a prime
	// where they are not quite, or only begin alike. "" where there is no melody.
	Letter string
	// First and Last are its measures, indexes from the start of the piece as
	// written.
	First, Last int
	// From and To are its bounds in time; a pickup of the melody belongs to the
	// section that it leads to, so From may lie in the measure before First.
	From, To score.Time
	// Times is how often it is played with all repeats: see [Passes]. It is 0
	// for what no repeat or jump reaches.
	Times int
	// Because is why it has its name and kind, in words.
	Because string

	height float64 // mean of its melody's pitches
	again  bool    // its melody is there again after something else
}

// stretch is a row of measures.
type stretch struct {
	first, end int
	name       string
	kind       Kind
	because    string
}

// Sections parts a score, whose tones are s.Tones() and whose melody is line:
// where it has headings or rehearsal marks, there; and where these leave sections
// unnamed, at double bars, repeats and printed refrains, and where the melody
// returns. With begins, indexes of measures, sections begin in these and in no others.
func Sections(s *score.Score, tones []score.Tone, line melody.Line, begins ...int) []Section {
	if s.MeasureCount() == 0 {
		return nil
	}
	f := newReader(s, tones, line)
	parts := f.marked()
	switch {
	case len(begins) > 0:
		parts = f.named(f.from(begins), parts)
	case heads(parts):
		parts = f.headed(parts)
	case len(parts) < enoughMarks:
		parts = f.named(f.returns(f.apart(f.together(parts, f.barred()))), parts)
	}
	if len(begins) == 0 {
		parts = f.fold(f.apart(parts))
	}
	f.nameSilent(parts)
	sections := make([]Section, len(parts))
	for i, p := range parts {
		sections[i] = Section{
			Name: p.name, Kind: p.kind, First: p.first, Last: p.end - 1, Because: p.because, height: f.meanPitch(p.first, p.end),
		}
		sections[i].From, sections[i].To = f.bounds(p)
	}
	f.letter(sections)
	inherit(sections)
	f.count(sections)
	f.findChorus(sections)
	return sections
}

// reader is a score being parted.
type reader struct {
	score  *score.Score
	tones  []score.Tone
	line   melody.Line
	starts []score.Time
	// tune are the notes of the melody in each measure, with the pickup that
	// leads to it; the onsets of that are below zero.
	tune   [][]beat
	begins []begin // of phrases
	held   []bool  // measures into which a note of the melody sounds on
}

// begin is where a phrase begins, and the measure that it leads to.
type begin struct {
	at      score.Time
	measure int
}

func newReader(s *score.Score, tones []score.Tone, line melody.Line) *reader {
	f := &reader{score: s, tones: tones, line: line, starts: s.Starts(), tune: make([][]beat, s.MeasureCount()), held: make([]bool, s.MeasureCount())}
	var before score.Time
	for _, p := range line.Phrases {
		to := f.leads(tones[line.Tones[p.First]].Onset, before)
		f.begins = append(f.begins, begin{tones[line.Tones[p.First]].Onset, to})
		for _, i := range line.Tones[p.First:p.Last] {
			t := &tones[i]
			m := max(t.Pieces[0].Measure, to)
			f.tune[m] = append(f.tune[m], beat{t.Onset.Sub(f.starts[m]), t.Length, t.Pitch.MIDI()})
			before = t.End()
			for k := t.Pieces[0].Measure + 1; k < len(f.tune) && f.starts[k].Less(before); k++ {
				f.held[k] = true
			}
		}
	}
	return f
}

// leads is the measure that a phrase leads to which begins at some moment, when
// the one before it has ended: the next one for a pickup, which begins in the
// last half of a measure, or in the last three quarters of one in which the
// melody had not rested yet.
func (f *reader) leads(at, before score.Time) int {
	i, exact := slices.BinarySearchFunc(f.starts, at, score.Time.Cmp)
	if exact || i >= len(f.tune) {
		return min(i, len(f.tune)-1)
	}
	start, length := f.starts[i-1], f.starts[i].Sub(f.starts[i-1])
	if start.Add(length.Mul(1, 2)).Less(at) || start.Less(before) && !at.Less(start.Add(length.Mul(1, 4))) {
		return i
	}
	return i - 1
}

// barred are the parts between double bars and repeats, and where the words begin
// or end to be those of a refrain.
func (f *reader) barred() []stretch {
	at := map[int]bool{0: true}
	for _, i := range f.refrainsFrom() {
		at[i] = true
	}
	for _, p := range f.score.Parts {
		for i, m := range p.Measures {
			for _, b := range m.Barlines {
				switch {
				case b.Location == "left" && b.Repeat == "forward":
					at[i] = true
				case b.Location == "right" && (b.Repeat == "backward" || b.Style == "light-light" || b.Style == "light-heavy"):
					at[i+1] = at[i+1] || !f.inEndings(i+1)
				}
			}
		}
	}
	var parts []stretch
	for i := range f.tune {
		switch {
		case !at[i]:
		case i == 1, i == len(f.tune)-1 && i > 0:
			// One measure is a pickup or a last chord, no section.
		default:
			parts = append(parts, stretch{first: i})
		}
	}
	return f.close(parts)
}

// inEndings tells whether an ending begins at a measure: it belongs to the
// section of the endings before it.
func (f *reader) inEndings(i int) bool {
	for _, p := range f.score.Parts {
		if i >= len(p.Measures) {
			continue
		}
		for _, b := range p.Measures[i].Barlines {
			if b.Ending.Type == "start" {
				return true
			}
		}
	}
	return false
}

// How many measures without melody are a section of their own: at the
// beginning and the end of a part, and inside it. The project's own figures.
const (
	fewest       = 2
	fewestInside = 4
)

// apart makes sections of their own of measures in which the melody rests, in
// parts that the score does not name, and where it rests for long in those that
// it heads.
func (f *reader) apart(parts []stretch) []stretch {
	var all []stretch
	for _, p := range parts {
		if p.kind != Other {
			all = append(all, f.resting(p)...)
			continue
		}
		if p.name != "" {
			all = append(all, p)
			continue
		}
		first, end := p.first, p.end
		for first < end && len(f.tune[first]) == 0 {
			first++
		}
		for end > first && len(f.tune[end-1]) == 0 && !f.held[end-1] {
			end--
		}
		if first-p.first >= fewest || first == p.end {
			all = append(all, stretch{first: p.first, end: first})
		} else {
			first = p.first
		}
		if p.end-end < fewest {
			end = p.end
		}
		if first < end {
			all = append(all, f.aroundRests(first, end)...)
		}
		if end < p.end && first < p.end {
			all = append(all, stretch{first: end, end: p.end})
		}
	}
	return all
}

// nameSilent names what has no name and no melody by its place.
func (f *reader) nameSilent(parts []stretch) {
	missing := sync.OnceValue(func() []melody.Measures { return f.line.Missing(f.score, f.tones) })
	missed := func(p *stretch) bool { // of which the melody was not found, and a section's length
		return p.end-p.first >= usualLength && slices.ContainsFunc(missing(), func(m melody.Measures) bool {
			return m.First <= p.first && p.end-1 <= m.Last
		})
	}
	for i := range parts {
		p := &parts[i]
		if p.name != "" || !f.silent(p.first, p.end) {
			continue
		}
		p.because = "the melody rests"
		switch {
		case missed(p) && i == 0:
			p.name, p.kind, p.because = "Intro", Intro, notFound
		case missed(p):
			p.because = notFound // see letter
		case i == 0:
			p.name, p.kind = "Intro", Intro
		case i == len(parts)-1:
			p.name, p.kind = "Ending", Ending
		default:
			p.name, p.kind = "Interlude", Interlude
		}
	}
}

// notFound is why a section without melody has its name that may have one.
const notFound = "no melody was found in it"

// fold puts parts of two measures at most, which the score does not name, to the
// one before, or else to the next.
func (f *reader) fold(parts []stretch) []stretch {
	open := func(p stretch) bool { return p.name == "" && !f.silent(p.first, p.end) }
	for i := 0; i < len(parts); i++ {
		if p := parts[i]; !open(p) || p.end-p.first > fewest {
			continue
		}
		switch {
		case i > 0 && open(parts[i-1]):
			parts[i-1].end = parts[i].end
		case i+1 < len(parts) && open(parts[i+1]):
			parts[i+1].first = parts[i].first
		default:
			continue
		}
		parts = slices.Delete(parts, i, i+1)
		i--
	}
	return parts
}

// resting parts what the score heads where the melody rests for long. An
// introduction and an interlude may rest at their beginning, and end then;
// anything else begins with its heading.
func (f *reader) resting(p stretch) []stretch {
	sung := p.first
	for sung < p.end && len(f.tune[sung]) == 0 {
		sung++
	}
	if sung == p.end {
		return []stretch{p}
	}
	all := f.aroundRests(sung, p.end)
	if played := sung - p.first; played >= fewestInside && (p.kind == Intro || p.kind == Interlude) {
		all = slices.Insert(all, 0, stretch{first: p.first, end: sung})
	}
	p.end = all[0].end
	all[0] = p
	return all
}

// aroundRests parts a row of measures where the melody rests for long.
func (f *reader) aroundRests(first, end int) []stretch {
	var all []stretch
	for i := first; i < end; i++ {
		k := i
		for k < end && len(f.tune[k]) == 0 && !f.held[k] {
			k++
		}
		if k-i >= fewestInside {
			all = append(all, stretch{first: first, end: i}, stretch{first: i, end: k})
			first = k
		}
		i = max(i, k-1)
	}
	if first < end {
		all = append(all, stretch{first: first, end: end})
	}
	return all
}

// silent tells whether the melody rests from one measure until before another.
func (f *reader) silent(first, end int) bool {
	return !slices.ContainsFunc(f.tune[first:end], func(m []beat) bool { return len(m) > 0 })
}

// bounds are those of a part in time.
func (f *reader) bounds(p stretch) (from, to score.Time) { return f.onset(p.first), f.onset(p.end) }

// onset is where a section that begins with a measure begins in time: with
// the phrase that leads to it, if that begins before.
func (f *reader) onset(measure int) score.Time {
	at := f.starts[measure]
	for _, b := range f.begins {
		if b.measure == measure && measure > 0 && measure < len(f.tune) {
			at = score.Min(at, b.at)
		}
	}
	return at
}

// count tells how often each section is played, and whether it is there again after
// something else: a repeat alone is no return.
func (f *reader) count(sections []Section) {
	last := map[string]int{} // pass of each melody
	for i, p := range Passes(f.score, sections) {
		s := &sections[p.Section]
		s.Times = p.Nth
		tune := tuneOf(s.Letter)
		if at, ok := last[tune]; ok && at < i-1 {
			s.again = true
		}
		last[tune] = i
	}
}
