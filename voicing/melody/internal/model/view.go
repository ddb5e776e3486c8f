package model

// View is a piece with everything the columns look at worked out once.
type View struct {
	*Music
	group    []int // the group of every note
	moments  []moment
	links    links
	streams  []*line
	of       []int // the stream of every note
	place    []int // its place in the stream
	repeated repeats
	letter   letters
	family   []family // by kinship
	voice    links    // the neighbours in its voice
	ways     style
	unit     int // ticks from onset to onset, on the mean

	top, bottom, whole *line // what nothing sounds above, what nothing sounds below, every note
	topAll, bottomAll  sums
	pitches            [128]int // how many notes strike each key or a lower one

	first [][]int16 // the rows of the first look, once they have been asked for
}

// NewView works out the view of m.
func NewView(m *Music) *View {
	v := &View{Music: m, moments: m.moments(), links: m.links(), repeated: m.repeats(), letter: m.letters()}
	for g, notes := range m.Groups {
		for range notes.Last - notes.First {
			v.group = append(v.group, g)
		}
	}
	v.layLines()
	v.rankPitches()
	v.ways = v.style()
	v.family = v.families()
	v.voice = v.voiceLinks()
	v.unit = max(quarter/16, v.span()/max(1, len(v.Groups)))
	return v
}

// layLines lays all lines through the notes.
func (v *View) layLines() {
	var lines [][]int
	lines, v.of = v.Music.streams(v.links)
	v.place = make([]int, len(v.Notes))
	for _, notes := range lines {
		for k, i := range notes {
			v.place[i] = k
		}
		v.streams = append(v.streams, v.line(notes, v.moments))
	}
	v.top = v.line(v.topNotes(), v.moments)
	v.bottom = v.line(v.where(func(o *moment) bool { return o.soundsBelow == 0 }), v.moments)
	v.whole = v.line(v.where(func(*moment) bool { return true }), v.moments)
	v.topAll, v.bottomAll = v.top.all(), v.bottom.all()
}

// topNotes is the notes above which nothing sounds when they are struck.
func (v *View) topNotes() []int {
	return v.where(func(o *moment) bool { return o.soundsAbove == 0 })
}

func (v *View) rankPitches() {
	for i := range v.Notes {
		v.pitches[v.Notes[i].Pitch&127]++
	}
	for p := 1; p < len(v.pitches); p++ {
		v.pitches[p] += v.pitches[p-1]
	}
}

// where is the notes for which holds is true.
func (v *View) where(holds func(*moment) bool) []int {
	var notes []int
	for i := range v.moments {
		if holds(&v.moments[i]) {
			notes = append(notes, i)
		}
	}
	return notes
}
