package voicing

import (
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/melody"
	"undersong/voicing/playing"
)

// arrangement is a score on its way to the tower. Passes change it; the
// source and the tower stay as they are.
type arrangement struct {
	source  *score.Score
	tower   *instrument.Tower
	player  *playing.Player
	figures *figures
	options Options
	// sections are those of the options, each from a breath of the melody on,
	// and ways theirs.
	sections []Section
	ways     []*way
	made     int // the index of the part that is made of chord symbols; 0 of none
	clock    *score.Clock
	tones    []score.Tone   // of the source
	line     melody.Line    // among them
	harmony  []harmony.Span // of the source, from beginning to end
	// notes are the tones of the source, each with what became of it, by
	// onset and then from low to high in the source. A pass may change the
	// onset of some: byTone has them as tones does.
	notes  []*note
	byTone []note
	// directions and chords are what is written over and under the staves of
	// the result.
	directions []placedDirection
	chords     []placedChord

	leftOut    map[score.Source]bool // carried signs without a place in the result
	renumbered map[score.Source]int  // new numbers of slurs and other lines
	starts     []score.Time          // onsets of the measures, and the end
	beats      [][]score.Time        // the beats of each measure
	asWritten  []bool                // measures that stay as they are
	partly     bool                  // there are such measures
	trouble    float64               // of the melody's place
	report     *Report
	pass       string // the name of the pass at work, for the report
}

// role is what a note does in the music.
type role int8

const (
	accompaniment role = iota
	tune
	bass
)

// String is the role's name in reports.
func (r role) String() string { return [...]string{"accompaniment", "melody", "bass"}[r] }

// note is one tone of the source and its place in the result.
type note struct {
	score.Tone            // as in the source, but for the onset of one that is struck later
	at         float64    // when it is struck, in seconds
	way        *way       // how it is voiced; nil leaves it as it is
	role       role       // what it does in the music
	interlude  bool       // of a tune: it leads while the melody rests
	seat       seat       // who plays it; nowhere until it is placed
	home       seat       // of the melody: whose line it is written in
	helped     bool       // of a melody in the pedals: a hand strikes it for the feet
	line       line       // where it is written, once that is known
	even       bool       // it stays for the even rhythm of a figure
	figure     bool       // it is part of a figure that goes between the hands
	octaves    int        // how far it is moved
	late       bool       // it is struck later than in the source
	chord      int        // of a grace note: the tone with which the chord begins that it is of
	written    score.Time // the length written in the result
	leftOut    string     // why it is not played; "" when it is
}

type placedDirection struct {
	measure int
	score.Direction
}

type placedChord struct {
	measure int
	score.ChordSymbol
}

// sits is the seat of the phrase that n is of.
func (n *note) sits() seat {
	if n.helped {
		return feet
	}
	return n.home
}

// does is what n does in the music, in words.
func (n *note) does() string {
	if n.interlude {
		return interlude
	}
	return n.role.String()
}

// interlude is the word for a tune that leads while the melody rests.
const interlude = "interlude"

// grace tells whether n is an ornament without time of its own.
func (n *note) grace() bool { return n.First().Grace }

// joins tells whether n is a grace note that is struck with the note played before it. That
// may not be the one before it in the source, which may be left out.
func (n *note) joins(before *note) bool {
	return n.grace() && before.grace() && n.chord == before.chord
}

// placed is the pitch in the result.
func (n *note) placed() score.Pitch { return n.Pitch.Octaves(n.octaves) }

// key is the MIDI number of the key or pedal in the result.
func (n *note) key() int { return n.placed().MIDI() }

func (a *arrangement) findHarmony() { a.harmony = harmony.Find(a.source, a.tones, a.line.Tones) }

// arrangementOf is one of tones, which are s.Tones(), whose melody is known, with
// the figures of its tower. The harmony is still to be found.
func arrangementOf(s *score.Score, o Options, f *figures, tones []score.Tone, line melody.Line) *arrangement {
	a := &arrangement{
		source: s, tones: tones, line: line, tower: o.Tower, player: playing.For(o.Tower), figures: f, options: o,
		leftOut: map[score.Source]bool{}, renumbered: map[score.Source]int{},
		starts: s.Starts(), beats: s.Beats(), report: &Report{Changes: make([]Change, 0, 2*len(tones)), Findings: append([]Finding{}, o.Told...)},
	}
	a.clock = s.Clock()
	a.sections = a.atBreaths(o.Sections)
	for i := range a.sections {
		a.ways = append(a.ways, a.sections[i].way())
	}
	for i := range s.MeasureCount() {
		a.asWritten = append(a.asWritten, a.wayAt(a.starts[i]) == nil)
	}
	a.partly = slices.Contains(a.asWritten, true)
	a.byTone = make([]note, len(tones))
	for i, t := range tones {
		a.byTone[i] = note{Tone: t, written: t.Length, at: a.clock.Seconds(t.Onset), way: a.wayAt(t.Onset), chord: i}
		if t.First().GraceChord && i > 0 {
			a.byTone[i].chord = a.byTone[i-1].chord
		}
		a.notes = append(a.notes, &a.byTone[i])
	}
	a.lead(line, false)
	for _, l := range line.Interludes {
		a.lead(l, true)
	}
	return a
}

// lead gives the notes of a line, and the grace notes that go to it, the tune.
func (a *arrangement) lead(line melody.Line, interlude bool) {
	for _, i := range slices.Concat(line.Tones, melody.Graces(a.tones, line)) {
		a.byTone[i].role, a.byTone[i].interlude = tune, interlude
	}
}

// keys is the compass under a seat.
func (a *arrangement) keys(s seat) instrument.Compass {
	if s == feet {
		return a.tower.Pedals
	}
	return a.tower.Manual
}

// with are the notes of a role that are not left out nor left as written, in
// time order. The tune is the melody and, while that rests, its interludes.
func (a *arrangement) with(r role) []*note {
	return a.where(func(n *note) bool { return n.role == r && n.leftOut == "" && n.way != nil })
}

// melody is the tune without interludes.
func (a *arrangement) melody() []*note {
	return slices.DeleteFunc(a.with(tune), func(n *note) bool { return n.interlude })
}

func (a *arrangement) where(chosen func(*note) bool) []*note {
	var notes []*note
	for _, n := range a.notes {
		if chosen(n) {
			notes = append(notes, n)
		}
	}
	return notes
}

// together parts notes that are in time order into those struck at one
// moment. Grace notes, which are struck before it, are left aside.
func together(notes []*note) [][]*note {
	mains := slices.DeleteFunc(slices.Clone(notes), (*note).grace)
	var strikes [][]*note
	for from := 0; from < len(mains); {
		to := from + 1
		for to < len(mains) && mains[to].Onset == mains[from].Onset {
			to++
		}
		strikes = append(strikes, mains[from:to:to])
		from = to
	}
	return strikes
}

// measureAt is the index of the measure that t falls in.
func (a *arrangement) measureAt(t score.Time) int {
	i, found := slices.BinarySearchFunc(a.starts, t, score.Time.Cmp)
	if !found {
		i--
	}
	return min(i, len(a.starts)-2)
}

// beatStart is where the beat begins that t falls in. An unmeasured passage
// is counted in quarters.
func (a *arrangement) beatStart(t score.Time) score.Time {
	from, _ := a.beatAround(t)
	return from
}

// beatAround are the start and the end of the beat that t falls in.
func (a *arrangement) beatAround(t score.Time) (from, to score.Time) {
	i := a.measureAt(t)
	at := a.starts[i]
	for _, b := range a.beats[i] {
		next := at.Add(b)
		if t.Less(next) {
			return at, next
		}
		at = next
	}
	from = at.Add(t.Sub(at).Floor(score.Quarter))
	return from, from.Add(score.Quarter)
}

// struckAt are the notes struck at a moment, without those left out and
// without grace notes.
func (a *arrangement) struckAt(t score.Time) []*note {
	var struck []*note
	for _, n := range a.notesFrom(t) {
		if n.Onset != t {
			break
		}
		if n.leftOut == "" && !n.grace() {
			struck = append(struck, n)
		}
	}
	return struck
}

// struck tells whether n is played in the result, as far as that is known.
func (n *note) struck() bool { return n.leftOut == "" && n.way != nil && n.seat != nowhere }

// notesFrom are all notes of the source from a moment on, in time order.
func (a *arrangement) notesFrom(t score.Time) []*note {
	i, _ := slices.BinarySearchFunc(a.notes, t, func(n *note, t score.Time) int { return n.Onset.Cmp(t) })
	return a.notes[i:]
}

// sweep visits every onset of the piece with all notes that sound then, as
// long as written in the source, those just struck among them. Cue and hidden
// notes are not heard.
func (a *arrangement) sweep(visit func(onset score.Time, sounding []*note)) {
	var sounding []*note
	for i := 0; i < len(a.notes); {
		onset := a.notes[i].Onset
		sounding = slices.DeleteFunc(sounding, func(n *note) bool { return !onset.Less(n.End()) })
		for ; i < len(a.notes) && a.notes[i].Onset == onset; i++ {
			if a.notes[i].First().Plays() {
				sounding = append(sounding, a.notes[i])
			}
		}
		if len(sounding) > 0 {
			visit(onset, sounding)
		}
	}
}

// keyRange is the lowest and the highest of some keys, and who plays them.
type keyRange struct {
	low, high int
	seat      seat
	interlude bool
}

// melodyRanges are the keys of the tune that sound at each onset of the
// piece, where any do.
func (a *arrangement) melodyRanges() map[score.Time]keyRange {
	ranges := map[score.Time]keyRange{}
	a.sweep(func(onset score.Time, sounding []*note) {
		for _, n := range sounding {
			if n.role != tune || n.grace() || n.seat == nowhere {
				continue
			}
			r, found := ranges[onset]
			if !found {
				r.low, r.high = n.key(), n.key()
			}
			ranges[onset] = keyRange{min(r.low, n.key()), max(r.high, n.key()), n.home, n.interlude}
		}
	})
	return ranges
}

func abs(n int) int { return max(n, -n) }
