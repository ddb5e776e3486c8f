package model

import "fmt"

// A column is one thing asked about every note. Its answer is a small whole
// number, its name for who reads the tables.
type column struct {
	name string
	ask  func(a *asked) int
}

// asked is the note that the columns are asked about, with its surroundings.
type asked struct {
	*View
	i    int
	note *Note
	at   *moment
	// What the lines do around it.
	stream, top, bottom, whole sums
}

// Lengths and distances in time are asked in 24ths of a quarter note, shares
// in thousandths.
const (
	fine   = quarter / 24
	window = 8 * quarter // how far around a note its surroundings reach
)

// about gathers the surroundings of note i.
func (v *View) about(i int) asked {
	on := v.Notes[i].On
	return asked{
		View: v, i: i, note: &v.Notes[i], at: &v.moments[i],
		stream: v.streams[v.of[i]].around(on),
		top:    v.top.around(on),
		bottom: v.bottom.around(on),
		whole:  v.whole.around(on),
	}
}

// noteColumns ask about the note itself and what sounds with it.
var noteColumns = []column{
	{"pitch", func(a *asked) int { return a.note.Pitch }},
	{"length", func(a *asked) int { return min(a.note.Length(), 8*quarter) / fine }},
	{"length up to the next onset", func(a *asked) int { return min(a.note.Length(), a.at.untilNext) / fine }},
	{"length against the time to the next onset", func(a *asked) int {
		return 100 * min(a.note.Length(), 8*quarter) / max(quarter/8, a.at.untilNext)
	}},
	{"time since the onset before", func(a *asked) int { return a.at.sincePrevious / fine }},
	{"beat", func(a *asked) int { return beatLevel(a.note.Beat) }},
	{"struck with it", func(a *asked) int { return a.at.struck - 1 }},
	{"struck above", func(a *asked) int { return a.at.struckAbove }},
	{"struck below", func(a *asked) int { return a.at.struckBelow }},
	{"sounding", func(a *asked) int { return a.at.sounding }},
	{"sounding above", func(a *asked) int { return a.at.soundsAbove }},
	{"sounding below", func(a *asked) int { return a.at.soundsBelow }},
	{"gap above", func(a *asked) int { return a.at.gapAbove }},
	{"gap below", func(a *asked) int { return a.at.gapBelow }},
	{"as long", func(a *asked) int { return a.at.sameLength }},
	{"longer ones", func(a *asked) int { return a.at.longer }},
	{"shorter ones", func(a *asked) int { return a.at.shorter }},
	{"octave above", func(a *asked) int { return a.at.octaveAbove }},
	{"chord in its voice", func(a *asked) int { return a.at.voiceChord }},
	{"other voices on its staff", func(a *asked) int { return a.at.voicesInHand }},
	{"above on its staff", func(a *asked) int { return a.at.handAbove }},
	{"below on its staff", func(a *asked) int { return a.at.handBelow }},
	{"staff", func(a *asked) int { return min(a.note.Hand, 3) }},
	{"key struck nearby", func(a *asked) int { return a.repeated.near[a.i] }},
	{"since its key was struck", func(a *asked) int { return a.repeated.before[a.i] / fine }},
	{"until its key is struck", func(a *asked) int { return a.repeated.after[a.i] / fine }},
	{"key struck a beat or measure away", func(a *asked) int { return a.repeated.figure[a.i] }},
	{"same letter around", func(a *asked) int { return a.letter.near[a.i] }},
	{"same letter sounding", func(a *asked) int { return a.letter.now[a.i] }},
	{"span of its staff", func(a *asked) int { return a.at.handSpan }},
	{"sounding on its staff", func(a *asked) int { return a.at.handSounds }},
	{"voice on its staff", func(a *asked) int { return a.at.voiceRank }},
	{"rank of its pitch in the piece", func(a *asked) int {
		return 1000 * a.pitches[a.note.Pitch&127] / len(a.Notes)
	}},
}

// linkColumns ask about the notes that lead to it and on from it, and about
// the stream they make.
var linkColumns = []column{
	{"interval to the next", func(a *asked) int { return a.interval(a.i, a.links.next[a.i]) }},
	{"rest to the next", func(a *asked) int { return a.rest(a.i, a.links.next[a.i]) }},
	{"interval from the one before", func(a *asked) int { return a.interval(a.links.prev[a.i], a.i) }},
	{"rest from the one before", func(a *asked) int { return a.rest(a.links.prev[a.i], a.i) }},
}

func (v *View) interval(i, j int) int {
	if i == none || j == none {
		return noHeight
	}
	return v.Notes[j].Pitch - v.Notes[i].Pitch
}

func (v *View) rest(i, j int) int {
	if i == none || j == none {
		return 99
	}
	return (v.Notes[j].On - v.Notes[i].End) / fine
}

// beatLevel is 0 on the first beat, then 1 on a beat, 2 on its half, 3 and 4
// for the finer places.
func beatLevel(beat int) int {
	switch {
	case beat == 0:
		return 0
	case beat%quarter == 0:
		return 1
	case beat%(quarter/2) == 0:
		return 2
	case beat%(quarter/4) == 0:
		return 3
	}
	return 4
}

// neighbourColumns ask what is on top and at the bottom of the groups before
// and after.
func neighbourColumns() []column {
	var columns []column
	for _, away := range []int{-2, -1, 1, 2} {
		columns = append(columns,
			column{fmt.Sprintf("top of group %+d", away), func(a *asked) int {
				if g := a.group[a.i] + away; g >= 0 && g < len(a.Groups) {
					return a.Notes[a.Groups[g].Last-1].Pitch - a.note.Pitch
				}
				return 60
			}},
			column{fmt.Sprintf("bottom of group %+d", away), func(a *asked) int {
				if g := a.group[a.i] + away; g >= 0 && g < len(a.Groups) {
					return a.Notes[a.Groups[g].First].Pitch - a.note.Pitch
				}
				return -60
			}})
	}
	for _, away := range []int{-2, 2} {
		columns = append(columns, column{fmt.Sprintf("time to group %+d", away), func(a *asked) int {
			if g := a.group[a.i] + away; g >= 0 && g < len(a.Groups) {
				return min(distance(a.Notes[a.Groups[g].First].On, a.note.On), 8*quarter) / fine
			}
			return 999
		}})
	}
	return columns
}

// lineColumns ask about the lines around the note and how it stands to them.
var lineColumns = []column{
	{"score by rules", func(a *asked) int { return a.byRules(&usualRules) }},
	{"height over the top line", func(a *asked) int { return a.over(&a.top) }},
	{"height over the bottom line", func(a *asked) int { return a.over(&a.bottom) }},
	{"height over all notes", func(a *asked) int { return a.over(&a.whole) }},
	{"height over its stream", func(a *asked) int { return a.over(&a.stream) }},
	{"notes around", func(a *asked) int { return a.whole[sumNotes] }},
	{"top line's notes around", func(a *asked) int { return a.top[sumNotes] }},
	{"stream's notes around", func(a *asked) int { return a.stream[sumNotes] }},
	{"stream's time covered", func(a *asked) int { return a.stream[sumLength] / fine }},
	{"stream on top", func(a *asked) int { return a.stream.share(sumTop) }},
	{"stream at the bottom", func(a *asked) int { return a.stream.share(sumBottom) }},
}

// over is how many tenths of a semitone the note stands above the mean of s.
func (a *asked) over(s *sums) int {
	return 10*a.note.Pitch - 10*s[sumPitch]/max(1, s[sumNotes])
}

// lineShares are asked about every line.
var lineShares = []struct {
	name string
	ask  func(s *sums) int
}{
	{"steps", func(s *sums) int { return s.share(sumSteps) }},
	{"repeats", func(s *sums) int { return s.share(sumRepeats) }},
	{"leaps", func(s *sums) int { return s.share(sumLeaps) }},
	{"mean interval", func(s *sums) int { return s.share(sumInterval) }},
	{"chords", func(s *sums) int { return s.share(sumChord) }},
	{"mean length", func(s *sums) int { return 10 * (s[sumLength] / fine) / max(1, s[sumNotes]) }},
	{"turns", func(s *sums) int { return s.share(sumTurn) }},
}

// firstColumns are what the first forest sees.
var firstColumns = join(noteColumns, linkColumns, neighbourColumns(), lineColumns, shareColumns(), styleColumns, placeColumns, countColumns())

func shareColumns() []column {
	var columns []column
	for _, l := range []struct {
		name string
		of   func(a *asked) *sums
		// Whole pieces are asked coarsely: a fine answer would tell one song
		// from another, and the fit would know it by heart. Shares in fifths
		// found more in songs unseen than shares in tenths.
		coarse int
	}{
		{"stream around", func(a *asked) *sums { return &a.stream }, 1},
		{"top line around", func(a *asked) *sums { return &a.top }, 1},
		{"bottom line around", func(a *asked) *sums { return &a.bottom }, 1},
		{"top line", func(a *asked) *sums { return &a.topAll }, 200},
		{"bottom line", func(a *asked) *sums { return &a.bottomAll }, 200},
	} {
		for _, s := range lineShares {
			columns = append(columns, column{
				l.name + ": " + s.name, func(a *asked) int { return s.ask(l.of(a)) / l.coarse },
			})
		}
	}
	return columns
}

func join(tables ...[]column) []column {
	var all []column
	for _, t := range tables {
		all = append(all, t...)
	}
	return all
}

// Rows asks the notes all columns. scores are those of the look before, nil
// for the first look, which asks only the first columns.
func (v *View) Rows(scores []int) [][]int16 {
	if v.first == nil {
		v.first = v.firstRows()
	}
	if scores == nil {
		return v.first
	}
	return v.nextRows(v.first, scores)
}

func (v *View) firstRows() [][]int16 {
	width := len(firstColumns)
	cells := make([]int16, len(v.Notes)*width)
	rows := make([][]int16, len(v.Notes))
	inParts(len(rows), func(from, to int) {
		var a asked // the columns are closures: it would be made anew for every note
		for i := from; i < to; i++ {
			a = v.about(i)
			row := cells[i*width : (i+1)*width]
			for c := range row {
				row[c] = cell(firstColumns[c].ask(&a))
			}
			rows[i] = row
		}
	})
	return rows
}

// cell keeps an answer within the range of a table's cell.
func cell(answer int) int16 { return int16(max(-30000, min(answer, 30000))) }
