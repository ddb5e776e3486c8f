package form

import (
	"fmt"
	"slices"
	"strings"

	"undersong/score"
	"undersong/voicing/melody"
)

// Section is a stretch of the piece that belongs together. Sections follow
// each other without gaps from the beginning to the end.
type Section struct {
	// Name is what the score calls it, or what its place says (Intro,
	// Interlude, Ending), or its letter: A, B, and A′ for one that is nearly A.
	Name string
	Kind Kind
	// Letter is the same for sections whose melodies are alike; with a prime
	// where they are not quite. "" where there is no melody.
	Letter string
	// First and Last are its measures, indexes from the start of the piece as
	// written.
	First, Last int
	// From and To are its bounds in time; a pickup of the melody belongs to the
	// section that it leads to, so From may lie in the measure before First.
	From, To score.Time
	// Times is how often it is played with all repeats.
	Times int
}

// stretch is a row of measures.
type stretch struct {
	first, end int
	name       string
	kind       Kind
}

// Sections parts a score, whose tones are s.Tones() and whose melody is line:
// where it has headings or rehearsal marks, there; else at double bars and
// repeats, and where the melody returns.
func Sections(s *score.Score, tones []score.Tone, line melody.Line) []Section {
	if s.MeasureCount() == 0 {
		return nil
	}
	f := newReader(s, tones, line)
	parts := f.marked()
	if len(parts) < 2 {
		parts = f.returns(f.barred())
	}
	parts = f.apart(parts)
	sections := make([]Section, len(parts))
	for i, p := range parts {
		sections[i] = Section{Name: p.name, Kind: p.kind, First: p.first, Last: p.end - 1}
		sections[i].From, sections[i].To = f.onset(p.first), f.onset(p.end)
		if i > 0 {
			sections[i-1].To = sections[i].From
		}
	}
	f.letter(sections)
	f.count(sections)
	f.findChorus(sections)
	return sections
}

// Last is the last section of a kind or a name, such as "chorus" or "Verse 2";
// ok is false where there is none.
func Last(sections []Section, what string) (index int, ok bool) {
	for i := len(sections) - 1; i >= 0; i-- {
		if Called(sections[i], what) {
			return i, true
		}
	}
	return 0, false
}

// Called tells whether a section is of a kind, or has a name or a letter,
// whatever the case.
func Called(s Section, what string) bool {
	what = strings.TrimSpace(what)
	return strings.EqualFold(string(s.Kind), what) && s.Kind != Other || strings.EqualFold(s.Name, what) ||
		strings.EqualFold(s.Letter, what) && s.Letter != ""
}

// reader is a score being parted.
type reader struct {
	score  *score.Score
	tones  []score.Tone
	line   melody.Line
	starts []score.Time
	// tune are the notes of the melody in each measure.
	tune   [][]beat
	begins []score.Time // of phrases
}

func newReader(s *score.Score, tones []score.Tone, line melody.Line) *reader {
	f := &reader{score: s, tones: tones, line: line, starts: s.Starts(), tune: make([][]beat, s.MeasureCount())}
	for _, i := range line.Tones {
		t := &tones[i]
		m := t.Pieces[0].Measure
		f.tune[m] = append(f.tune[m], beat{t.Onset.Sub(f.starts[m]), t.Length, t.Pitch.MIDI()})
	}
	for _, p := range line.Phrases {
		f.begins = append(f.begins, tones[line.Tones[p.First]].Onset)
	}
	return f
}

// marked are the parts that the score names: by words that head sections, else
// by rehearsal marks, at the measures that have them.
func (f *reader) marked() []stretch {
	words, marks := f.marks()
	parts := words
	if len(words) < 2 {
		parts = marks
	}
	if len(parts) == 0 {
		return nil
	}
	if parts[0].first > 0 {
		parts = append([]stretch{{first: 0}}, parts...)
	}
	return f.close(parts)
}

// marks are the headings and the rehearsal marks, one at most to a measure.
func (f *reader) marks() (words, marks []stretch) {
	headed, lettered := map[int]bool{}, map[int]bool{}
	for _, p := range f.score.Parts {
		for i, m := range p.Measures {
			for _, d := range m.Directions {
				for _, sign := range d.Signs {
					text := strings.TrimSpace(sign.Text)
					kind, ok := heading(text)
					at := i
					if d.Onset.Sign() > 0 && !d.Onset.Add(d.Onset).Less(m.Length) && i+1 < len(f.tune) {
						at = i + 1 // over a pickup
					}
					if ok && (sign.Name == "words" || sign.Name == "rehearsal") && !headed[at] {
						headed[at] = true
						words = append(words, stretch{first: at, name: title(text), kind: kind})
					}
					if sign.Name == "rehearsal" && text != "" && !lettered[at] {
						lettered[at] = true
						marks = append(marks, stretch{first: at, name: text, kind: kind})
					}
				}
			}
		}
	}
	byPlace := func(a, b stretch) int { return a.first - b.first }
	slices.SortStableFunc(words, byPlace)
	slices.SortStableFunc(marks, byPlace)
	return words, marks
}

// title is a heading without brackets and colon.
func title(text string) string { return strings.Trim(text, " :()[].") }

// close ends each part where the next begins.
func (f *reader) close(parts []stretch) []stretch {
	for i := range parts {
		parts[i].end = len(f.tune)
		if i > 0 {
			parts[i-1].end = parts[i].first
		}
	}
	return parts
}

// barred are the parts between double bars, repeats and changes of key.
func (f *reader) barred() []stretch {
	at := map[int]bool{0: true}
	for _, p := range f.score.Parts {
		for i, m := range p.Measures {
			for _, b := range m.Barlines {
				switch {
				case b.Location == "left" && b.Repeat == "forward":
					at[i] = true
				case b.Location == "right" && (b.Repeat == "backward" || b.Style == "light-light" || b.Style == "light-heavy"):
					at[i+1] = !f.inEndings(i + 1)
				}
			}
		}
	}
	var parts []stretch
	for i := range f.tune {
		if at[i] {
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

// fewest is how many measures without melody are a section of their own at the
// beginning, inside and at the end.
const fewest = 2

// apart makes sections of their own of measures in which the melody rests, in
// parts that the score does not name.
func (f *reader) apart(parts []stretch) []stretch {
	var all []stretch
	for _, p := range parts {
		if p.name != "" {
			all = append(all, p)
			continue
		}
		first, end := p.first, p.end
		for first < end && len(f.tune[first]) == 0 {
			first++
		}
		for end > first && len(f.tune[end-1]) == 0 && !f.held(end-1) {
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
			all = append(all, stretch{first: first, end: end})
		}
		if end < p.end && first < p.end {
			all = append(all, stretch{first: end, end: p.end})
		}
	}
	for i := range all {
		if all[i].name == "" && f.silent(all[i]) {
			switch i {
			case 0:
				all[i].name, all[i].kind = "Intro", Intro
			case len(all) - 1:
				all[i].name, all[i].kind = "Ending", Ending
			default:
				all[i].name, all[i].kind = "Interlude", Interlude
			}
		}
	}
	return all
}

// held tells whether a note of the melody sounds on through a measure.
func (f *reader) held(measure int) bool {
	for _, i := range f.line.Tones {
		t := &f.tones[i]
		if t.Onset.Less(f.starts[measure]) && f.starts[measure].Less(t.End()) {
			return true
		}
	}
	return false
}

func (f *reader) silent(p stretch) bool {
	for _, m := range f.tune[p.first:p.end] {
		if len(m) > 0 {
			return false
		}
	}
	return true
}

// onset is where a section that begins with a measure begins in time: with
// the phrase that leads to it, if one begins in the last half of the measure
// before.
func (f *reader) onset(measure int) score.Time {
	at := f.starts[measure]
	if measure == 0 || measure == len(f.tune) {
		return at
	}
	half := f.starts[measure-1].Add(at.Sub(f.starts[measure-1]).Mul(1, 2))
	for _, b := range f.begins {
		if half.Less(b) && b.Less(at) {
			return b
		}
	}
	return at
}

// count is how often each section is played; a form that cannot be followed is
// played once.
func (f *reader) count(sections []Section) {
	times := make([]int, len(f.tune))
	order, err := f.score.Performance()
	for _, p := range order {
		times[p.Measure]++
	}
	for i := range sections {
		sections[i].Times = times[sections[i].First]
		if err != nil {
			sections[i].Times = 1
		}
	}
}

// String is the section's name with its measures counted from 1, for messages.
func (s Section) String() string { return fmt.Sprintf("%s (%d–%d)", s.Name, s.First+1, s.Last+1) }
