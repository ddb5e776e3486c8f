package voicing

import (
	"fmt"

	"undersong/score"
)

// Report is what an arrangement did and could not do, for people and, as
// JSON, for programs. Its fields are stable.
type Report struct {
	Version int     `json:"version"` // of this form: 1
	File    string  `json:"file,omitempty"`
	Title   string  `json:"title,omitempty"`
	Tower   string  `json:"tower"`
	Voicing Voicing `json:"voicing"`
	// Transpose is by how many semitones all was moved first.
	Transpose int `json:"transpose"`
	// BetterKey is the transposition in which the melody would sit much better
	// on this tower; 0 of none.
	BetterKey  int `json:"betterKey,omitempty"`
	Difficulty int `json:"difficulty"`
	// Figure is how the chord symbols of a lead sheet are played.
	Figure string `json:"figure,omitempty"`
	Melody struct {
		From  string `json:"from"`
		Notes int    `json:"notes"`
		// Elsewhere are moved by other octaves than most of those that are voiced alike.
		Elsewhere int `json:"elsewhere"`
		Sure      int `json:"sure"` // on the mean of its notes, in per cent
	} `json:"melody"`
	// Interludes are the lines that lead while a sung melody rests.
	Interludes []InterludeReport `json:"interludes,omitempty"`
	// Notes counts what became of the notes of the source, tied notes once: all
	// are kept where they were, moved by octaves, merged into another note of
	// their pitch class that is struck with them, or dropped. Written are kept
	// and moved together, LeftOut merged and dropped.
	Notes struct {
		Source  int `json:"source"`
		Added   int `json:"added,omitempty"` // of these, made of chord symbols
		Kept    int `json:"kept"`
		Moved   int `json:"moved"`
		Merged  int `json:"merged"`
		Dropped int `json:"dropped"`
		Written int `json:"written"`
		LeftOut int `json:"leftOut"`
	} `json:"notes"`
	// Sections are the stretches that are voiced otherwise than the rest.
	Sections []SectionReport `json:"sections"`
	Changes  []Change        `json:"changes"`
	Findings []Finding       `json:"findings"`

	parted bool // whether all notes of the source are in some of the sections
	tune   map[standing]bool
	out    map[*score.Note]string // why notes of the source were left out
}

// standing is where a note stands in a result: a moment, a line and a pitch.
type standing struct {
	onset score.Time
	line  line
	pitch score.Pitch
}

// Tune tells whether a tone of the result is of the melody or, while that rests, of an
// interlude; of a section that is left as written nothing is.
func (r *Report) Tune(t *score.Tone) bool {
	n := t.First()
	return r.tune[standing{t.Onset, line{n.Staff, n.Voice}, n.Pitch}]
}

// LeftOut tells why a tone of the source is not in the result, "" of one that is.
func (r *Report) LeftOut(t *score.Tone) string { return r.out[t.First()] }

// Way is how the score was voiced, in words.
func (r *Report) Way() string {
	way := string(r.Voicing)
	if len(r.Sections) > 0 {
		way = "section by section"
	}
	return fmt.Sprintf("voiced %s for tower %s", way, r.Tower)
}

// SectionReport is a stretch of measures and its voicing.
type SectionReport struct {
	FirstMeasure string  `json:"firstMeasure"`
	LastMeasure  string  `json:"lastMeasure"`
	Voicing      Voicing `json:"voicing"`
	// First and Last are the same measures, by index.
	First int `json:"-"`
	Last  int `json:"-"`
}

// Change is one thing that the result has otherwise than the source.
type Change struct {
	Pass string `json:"pass"`
	score.Place
	What    string `json:"what"`              // a role, such as "melody", or a sign, such as "fingering"
	Note    string `json:"note,omitempty"`    // the pitch as written in the source
	To      string `json:"to,omitempty"`      // the pitch in the result
	Octaves int    `json:"octaves,omitempty"` // the move
	Later   string `json:"later,omitempty"`   // by how many quarter notes it is struck later
	LeftOut string `json:"leftOut,omitempty"` // why it is not in the result
	Type    string `json:"type,omitempty"`    // of a sign that has one, as MusicXML names it: "start", "stop"
	Length  string `json:"length,omitempty"`  // the new written length in quarter notes

	Index int `json:"-"` // of the measure
	of    *note
}

// Finding is something that this tower cannot do, or that a person should
// look at.
type Finding struct {
	Pass string `json:"pass"`
	score.Place
	Text string `json:"text"`
	// Nth is which measure of the score that is voiced it is about, counted from 1;
	// 0 of the whole.
	Nth int `json:"-"`
}

// place is where in the source something is.
func (a *arrangement) place(part int, onset score.Time) score.Place {
	p := a.source.Parts[part]
	i := a.measureAt(onset)
	place := score.Place{Part: p.ID, Beat: score.BeatName(onset.Sub(a.starts[i]), a.beats[i])}
	if i < len(p.Measures) {
		place.Measure = p.Measures[i].Number
	}
	return place
}

func (a *arrangement) record(n *note, c Change) {
	c.Pass, c.Place, c.What, c.Note = a.pass, a.place(n.Part, n.Onset), n.does(), n.First().Pitch.String()
	c.Index, c.of = a.measureAt(n.Onset), n
	a.report.Changes = append(a.report.Changes, c)
}

func (a *arrangement) leaveOut(n *note, why string) {
	n.leftOut = why
	a.record(n, Change{LeftOut: why})
}

func (a *arrangement) moved(n *note) {
	if n.octaves != 0 {
		a.record(n, Change{To: n.placed().String(), Octaves: n.octaves})
	}
}

func (a *arrangement) relengthened(n *note) {
	a.record(n, Change{Length: n.written.String()})
}

// sign is a sign of the source, or one end of it, and where it is.
type sign struct {
	score.Source
	part       int
	onset      score.Time
	name, kind string // kind as MusicXML's type
}

// leaveOutSign records that a sign has no place in the result.
func (a *arrangement) leaveOutSign(s sign, why string) {
	a.leftOut[s.Source] = true
	a.report.Changes = append(a.report.Changes, Change{
		Pass: a.pass, Place: a.place(s.part, s.onset), What: s.name, Type: s.kind, LeftOut: why, Index: a.measureAt(s.onset),
	})
}

func (a *arrangement) finding(n *note, format string, args ...any) {
	a.report.Findings = append(a.report.Findings, Finding{
		Pass: a.pass, Place: a.place(n.Part, n.Onset), Nth: a.measureAt(n.Onset) + 1, Text: fmt.Sprintf(format, args...),
	})
}

// tell is a finding about the whole, before any pass.
func (a *arrangement) tell(format string, args ...any) {
	a.report.Findings = append(a.report.Findings, Finding{Pass: "voice", Text: fmt.Sprintf(format, args...)})
}
