package score

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// MaxWrittenOut is the most notes that [Score.WrittenOut] writes, directions,
// chord symbols and carried elements included.
const MaxWrittenOut = 5_000_000

// WrittenOut is s as plain measures in the order of [Score.Performance], so
// that measure i of every part is the i-th of that order and each time
// through can be treated for itself.
//
//   - Repeats, endings, segno, coda, Fine and the words and sounds of jumps are
//     gone. A final barline inside becomes a double one; an end inside, as at
//     Fine, gets one.
//   - The second time of measure 12 is "12b", the third "12c", after "12z"
//     "12aa". Numbers that end in no digit, and those that would meet a number
//     that is there, get "-2", "-3": "X1" is followed by "X1b", "12a" by
//     "12a-2". Pickups and split measures keep their lengths.
//   - A measure played more than once keeps of its lyrics verse 1 the first time
//     through, verse 2 the second; where there is none of this number, the last
//     before it, and none where all come later. It is verse 1 then, on the line
//     of the only one. What verse 1 alone has next to measures of a refrain, its
//     pickup and its end, is sung every time. A verse whose name is no number stays.
//     [Score.VersesUnsung] tells where verses are sung again or not at all.
//     Directions, notes and lyrics with time-only stay at their times.
//   - Where a jump lands under another key, time, clef or transposition than
//     the music that led there, the measure states its own; what holds already it
//     does not state again.
//   - A tie over a jump stays where both notes are tied, of one pitch and next
//     to each other. Of slurs, wedges, ottavas and other lines, halves whose
//     other half is not played are left out.
//   - Layout hints (print) belong to the first time only.
//
// Measures of which nothing changes are the same *Measure, all others new,
// with the Sources of what they were made from; barlines and directions that
// changed have none. s is not changed.
//
// Errors are those of Performance, parts of different lengths, and more than
// [MaxWrittenOut] notes.
func (s *Score) WrittenOut() (*Score, error) {
	order, err := s.Performance()
	if err != nil {
		return nil, err
	}
	if err := s.fitsWrittenOut(order); err != nil {
		return nil, err
	}
	out := *s
	out.Composers, out.Rights = slices.Clone(s.Composers), slices.Clone(s.Rights)
	out.Parts = nil
	names := s.namesFor(order)
	for _, p := range s.Parts {
		written := *p
		written.Measures = p.writtenOut(order, names)
		out.Parts = append(out.Parts, &written)
	}
	return &out, nil
}

func (s *Score) fitsWrittenOut(order []Played) error {
	notes := 0
	for _, p := range s.Parts {
		if len(p.Measures) != s.MeasureCount() {
			return &Error{Place: Place{Part: p.ID}, Problem: fmt.Sprintf(
				"%d measures where another part has %d: give all parts the same measures",
				len(p.Measures), s.MeasureCount())}
		}
		for _, o := range order {
			m := p.Measures[o.Measure]
			notes += len(m.Notes) + len(m.Directions) + len(m.Chords) + len(m.Others)
		}
	}
	if notes > MaxWrittenOut {
		return &Error{Problem: fmt.Sprintf(
			"written out, the repeats come to %d notes, the limit is %d: correct their times or the jumps",
			notes, MaxWrittenOut)}
	}
	return nil
}

// namesFor are the numbers of the measures of an order.
func (s *Score) namesFor(order []Played) []string {
	names := make([]string, len(order))
	if len(order) == 0 {
		return names
	}
	taken := map[string]bool{}
	for _, m := range s.Parts[0].Measures {
		taken[m.Number] = true
	}
	for i, o := range order {
		number := s.Parts[0].Measures[o.Measure].Number
		if names[i] = number; o.Nth == 1 || number == "" {
			continue
		}
		last := rune(number[len(number)-1])
		if names[i] = number + letters(o.Nth); notDigit(last) || taken[names[i]] {
			names[i] = number + "-" + strconv.Itoa(o.Nth)
		}
	}
	return names
}

// letters counts a, b, … z, aa, ab from 1.
func letters(n int) string {
	text := ""
	for ; n > 0; n = (n - 1) / 26 {
		text = string(rune('a'+(n-1)%26)) + text
	}
	return text
}

// leaf is a measure that is copied when something in it changes.
type leaf struct {
	*Measure
	own bool
}

func (l *leaf) edit() *Measure {
	if !l.own {
		l.Measure, l.own = l.clone(), true
	}
	return l.Measure
}

func (p *Part) writtenOut(order []Played, names []string) []*Measure {
	leaves := make([]leaf, len(order))
	count := make([]int, len(p.Measures))
	for i, o := range order {
		leaves[i].Measure = p.Measures[o.Measure]
		count[o.Measure]++
	}
	p.dropHalves(order, leaves) // first: it counts in the measures as they are
	refrains := p.shared(count)
	for i, o := range order {
		l := &leaves[i]
		if o.Nth > 1 {
			m := l.edit()
			m.Number = names[i]
			m.Others = slices.DeleteFunc(m.Others, func(o Other) bool { return o.Name == "print" })
		}
		l.plainDirections(o)
		last := i == len(order)-1
		l.plainBarlines(last, last && o.Measure != len(p.Measures)-1)
		l.keepTimes(o.Through)
		l.keepVerse(o.Through, count[o.Measure] == 1, refrains[o.Measure])
	}
	p.cutTies(order, leaves)
	p.restate(order, leaves)
	measures := make([]*Measure, len(leaves))
	for i := range leaves {
		measures[i] = leaves[i].Measure
	}
	return measures
}

// keepTimes takes out the notes and lyrics that are for other times through.
func (l *leaf) keepTimes(through int) {
	timed := slices.ContainsFunc(l.Notes, func(n Note) bool {
		return n.TimeOnly != "" || slices.ContainsFunc(n.Lyrics, func(y Lyric) bool { return y.TimeOnly != "" })
	})
	if !timed {
		return
	}
	m := l.edit()
	m.Notes = slices.DeleteFunc(m.Notes, func(n Note) bool { return !onlyAt(n.TimeOnly, through) })
	for i := range m.Notes {
		n := &m.Notes[i]
		n.TimeOnly = ""
		n.Lyrics = slices.DeleteFunc(n.Lyrics, func(y Lyric) bool { return !onlyAt(y.TimeOnly, through) })
		for j := range n.Lyrics {
			n.Lyrics[j].TimeOnly = ""
		}
	}
}

// isJump tells whether measure i of the order does not follow the one before
// it as written.
func isJump(order []Played, i int) bool {
	return i > 0 && order[i].Measure != order[i-1].Measure+1
}

// WithoutTime is the number that a measure had before its score was written out: 6
// for 6b.
func WithoutTime(number string) string {
	return cmp.Or(strings.TrimRight(number, "abcdefghijklmnopqrstuvwxyz"), number)
}
