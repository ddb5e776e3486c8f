package score

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// MaxPerformed is the most measures that an order of performance may have.
// It bounds what a few hostile repeat signs can ask for.
const MaxPerformed = 100_000

// maxJumps is the most jumps back that are followed. A piece has a few.
const maxJumps = 1000

// Played is one measure in the order of performance.
type Played struct {
	Measure int // index in the parts
	Nth     int // 1 the first time that this measure is played
	// Through is the time through the music around it, which decides the
	// verse: the same as Nth, but in an ending that of the measure before it,
	// so that ending 2 has verse 2 though it is played for the first time.
	Through int
}

// Performance is the order in which the measures are played: repeats, nested
// ones too, endings, jumps, codas and Fine followed. All parts count: a sign
// in one of them holds for all.
//
// Signs are read from barlines and sounds, and from words such as "D.C. al
// Fine", "To Coda" and "Fine" where no sound says the same. Signs are taken
// at the edges of measures: a segno, a coda and a forward repeat at the start
// of theirs (of the next, when they stand at its end), all others at the end.
//
// Where notation leaves a choice, these are the conventions (common practice,
// no source, but for the first two, which are MusicXML 4.0's):
//
//   - A backward repeat without times is played twice.
//   - A sign with time-only counts at those times of its measure, and only
//     then.
//   - A backward repeat goes to the nearest forward repeat not yet closed,
//     else to the measure after the last repeated section, else to the start.
//     A section inside a section is repeated each time.
//   - A section with endings is played as often as the highest number of an
//     ending says, once more when the only ending is closed by a repeat. An
//     ending without a readable number is for the times that no other claims.
//   - A repeat at the same barline as a jump comes first. A jump back (D.C.,
//     D.S.) is taken once.
//   - After a jump back, sections already played are played once, with the
//     last ending, unless after-jump says otherwise; Fine and To Coda count
//     only now, and only the one that the jump's words name, if they do.
//   - D.S. goes to the segno of its label, else to the last one before it;
//     To Coda to the coda of its label, else to the next one. Two coda signs
//     without words are To Coda and the coda.
//
// The errors, each an [Error] with its place, are: a jump without a place to
// go to, a repeat inside a measure, more than [MaxPerformed] measures, and more
// than 1000 jumps.
func (s *Score) Performance() ([]Played, error) {
	f, err := readForm(s)
	if err != nil {
		return nil, err
	}
	f.pairRepeats()
	w := &walker{
		form: f, counts: make([]int, len(f.sections)), old: make([]bool, len(f.sections)),
		nth: make([]int, len(f.measures)), taken: make([]bool, len(f.measures)), back: -1,
	}
	if err := w.walk(); err != nil {
		return nil, err
	}
	return w.out, nil
}

// walker plays a form.
type walker struct {
	*form
	out    []Played
	counts []int  // the time through each section, 0 before the first
	old    []bool // sections begun before the last jump back
	nth    []int  // how often each measure has been played
	taken  []bool // jumps back, by measure

	back      int // the section just gone back in, or -1
	jumped    bool
	jumps     int
	aim       aim // of the last jump back
	codaTaken bool
}

func (w *walker) walk() error {
	for i := w.enter(0); i < len(w.measures); {
		if len(w.out) == MaxPerformed {
			return w.at(i, "the repeats ask for more than %d measures: correct their times or the jumps", MaxPerformed)
		}
		w.play(i)
		next, err := w.leave(i)
		if err != nil {
			return err
		}
		i = w.enter(next)
	}
	return nil
}

// enter begins the sections that start at a measure and chooses the ending;
// it gives the measure to be played.
func (w *walker) enter(i int) int {
	for i < len(w.measures) {
		for _, n := range w.measures[i].begins {
			if n != w.back {
				w.counts[n] = w.firstTime(n)
			}
		}
		w.back = -1
		n, ok := w.endingsFrom(i)
		if !ok {
			return i
		}
		if w.counts[n] == 0 {
			w.counts[n] = w.firstTime(n)
		}
		next := w.sections[n].choose(w.counts[n])
		if next == i {
			return i
		}
		i = next
	}
	return i
}

// firstTime is what the count of a section starts from: its last time, when
// it has been played before a jump back.
func (w *walker) firstTime(n int) int {
	if w.old[n] && !w.sections[n].afterJump {
		return w.sections[n].times
	}
	return 1
}

func (w *walker) play(i int) {
	w.nth[i]++
	p := Played{Measure: i, Nth: w.nth[i], Through: w.nth[i]}
	if last := len(w.out) - 1; last >= 0 {
		if s, _ := w.endingAt(i); s != nil && s.start <= w.out[last].Measure && w.out[last].Measure <= s.end {
			p.Through = w.out[last].Through
		}
	}
	w.out = append(w.out, p)
}

// leave is the measure after i, the number of measures at the end.
func (w *walker) leave(i int) (int, error) {
	if to, ok := w.repeat(i); ok {
		return to, nil
	}
	m := &w.measures[i]
	if m.fine.set && w.holds(m.fine, i, w.jumped && w.aim != aimCoda) {
		return len(w.measures), nil
	}
	if m.toCoda.set && w.holds(m.toCoda, i, w.jumped && w.aim != aimFine && !w.codaTaken) {
		w.codaTaken = true
		return w.coda(i, m.toCoda.label)
	}
	if m.jump.set && w.holds(m.jump.sign, i, !w.taken[i]) {
		return w.jump(i)
	}
	if s, v := w.endingAt(i); s != nil && v.end == i {
		return s.end + 1, nil
	}
	return i + 1, nil
}

// repeat goes back in the innermost section that ends at i and has a time
// left.
func (w *walker) repeat(i int) (int, bool) {
	for _, n := range slices.Backward(w.measures[i].closes) {
		s := &w.sections[n]
		if w.counts[n] == 0 {
			w.counts[n] = w.firstTime(n)
		}
		if w.counts[n] < s.times {
			w.counts[n]++
			w.back = n
			return s.start, true
		}
	}
	return 0, false
}

// holds tells whether a sign counts this time: as its time-only says, or
// else as it would by default.
func (w *walker) holds(s sign, i int, byDefault bool) bool {
	if s.timeOnly == "" {
		return byDefault
	}
	return onlyAt(s.timeOnly, w.nth[i])
}

// onlyAt tells whether a time-only list ("1, 3") has n. An empty list has
// all.
func onlyAt(list string, n int) bool {
	return strings.TrimSpace(list) == "" || slices.Contains(strings.FieldsFunc(list, notDigit), strconv.Itoa(n))
}

func notDigit(r rune) bool { return r < '0' || r > '9' }

func (w *walker) jump(i int) (int, error) {
	if w.jumps++; w.jumps > maxJumps {
		return 0, w.at(i, "more than %d jumps back: remove some", maxJumps)
	}
	j := w.measures[i].jump
	to := 0
	if j.dalSegno {
		var ok bool
		if to, ok = w.segno(i, j.label); !ok {
			return 0, w.at(i, "a D.S. without a segno to go back to: set the segno or remove the D.S.")
		}
	}
	w.taken[i], w.jumped, w.codaTaken, w.aim = true, true, false, j.aim
	for n, c := range w.counts {
		if c > 0 {
			w.old[n] = true
			w.counts[n] = w.firstTime(n)
		}
	}
	return to, nil
}

// segno is where a D.S. at from goes.
func (w *walker) segno(from int, label string) (int, bool) {
	best, found := 0, false
	for i := range w.measures {
		m := &w.measures[i]
		if label != "" && slices.Contains(m.segnos, label) {
			return i, true
		}
		if len(m.segnos) > 0 && (!found || i <= from) {
			best, found = i, true
		}
	}
	return best, found
}

// coda is where a To Coda at from goes.
func (w *walker) coda(from int, label string) (int, error) {
	best := -1
	for i := range w.measures {
		m := &w.measures[i]
		if len(m.codas) == 0 || i == from {
			continue
		}
		if label != "" && slices.Contains(m.codas, label) {
			return i, nil
		}
		if best < 0 || best < from && i > from {
			best = i
		}
	}
	if best < 0 {
		return 0, w.at(from, "a To Coda without a coda to go to: set the coda or remove the To Coda")
	}
	return best, nil
}

// at is an error at a measure.
func (f *form) at(i int, format string, args ...any) error {
	return &Error{Place: Place{Measure: f.measures[i].number}, Problem: fmt.Sprintf(format, args...)}
}
