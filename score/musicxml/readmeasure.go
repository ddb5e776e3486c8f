package musicxml

import (
	"fmt"
	"strconv"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/notation"
)

// partReader walks the measures of one part. Its cursor is MusicXML's: notes
// move it forward, backup moves it back.
type partReader struct {
	doc       *Document
	part      *score.Part
	problems  []error
	divisions score.Time          // divisions of a quarter note
	divided   bool                // the part has said them
	guessed   bool                // it had not where they were needed
	common    *int64              // what all denominators of the score so far divide
	total     score.Time          // the length of the measures so far
	time      score.Time          // length of a full measure, zero when unmeasured
	signature score.TimeSignature // that in force
	voices    map[string]int      // the numbers given to voices that have none
	tuplets   map[int][]openTuplet
	// lastDuration is the latest one under these divisions: many are alike.
	lastDuration textLength

	m     *score.Measure
	at    score.Time // the cursor
	far   score.Time // the farthest it has been
	chord score.Time // onset of the note that a chord member joins
	voice int        // of that note
}

const (
	maxProblems = 20 // told of a file: with more it is hopeless
	// maxQuarters is the longest duration and the longest measure, maxTotal
	// the longest part, in quarter notes: with score.MaxDenominator they keep
	// all sums inside the range of score.Time.
	maxQuarters = 1 << 16
	maxTotal    = 1 << 28
)

func newPartReader(doc *Document, part *score.Part, common *int64) *partReader {
	return &partReader{
		doc: doc, part: part, divisions: score.Quarter, common: common,
		voices: map[string]int{}, tuplets: map[int][]openTuplet{},
	}
}

func (r *partReader) problem(format string, args ...any) {
	if len(r.problems) > maxProblems {
		return
	}
	for i, a := range args {
		if s, ok := a.(string); ok {
			args[i] = clipped(s)
		}
	}
	e := &score.Error{
		Place:   score.Place{Part: r.part.ID, Measure: r.m.Number, Beat: score.BeatName(r.at, r.signature.Beats())},
		Problem: fmt.Sprintf(format, args...),
	}
	if n := len(r.problems); n == 0 || r.problems[n-1].Error() != e.Error() {
		r.problems = append(r.problems, e)
	}
}

func (r *partReader) measure(e, content *etree.Element) {
	r.m = &score.Measure{Number: label(attr(e, "number")), Implicit: attr(e, "implicit") == "yes", Source: r.doc.issue(content)}
	r.at, r.far, r.chord = score.Time{}, score.Time{}, score.Time{}
	clear(r.tuplets)
	r.part.Measures = append(r.part.Measures, r.m)
	divisions := r.divisions
	r.reserve(content)
	for _, t := range content.Child {
		if c, ok := t.(*etree.Element); ok {
			r.child(c)
		}
	}
	r.m.Length = r.far
	if r.far.Sign() == 0 {
		r.m.Length = r.time
	}
	if r.total = r.total.Add(r.m.Length); score.Quarters(maxTotal).Less(r.total) {
		r.problem("the part is longer than the limit of %d quarter notes: correct the durations", maxTotal)
		r.total = score.Time{}
	}
	r.doc.measures[r.m.Source] = readMeasure{r.m, divisions, r.divisions}
}

// reserve takes memory for the notes of a measure at once.
func (r *partReader) reserve(content *etree.Element) {
	notes := 0
	for _, t := range content.Child {
		if c, ok := t.(*etree.Element); ok && c.Tag == "note" {
			notes++
		}
	}
	if notes > 0 {
		r.m.Notes = make([]score.Note, 0, notes)
	}
}

func (r *partReader) child(e *etree.Element) {
	switch e.Tag {
	case "note":
		r.note(e)
	case "backup":
		r.move(score.Time{}.Sub(r.duration(e, text(e, "duration"))))
	case "forward":
		r.move(r.duration(e, text(e, "duration")))
	case "attributes":
		r.attributes(e)
	case "direction":
		r.direction(e)
	case "sound":
		r.m.Directions = append(r.m.Directions, score.Direction{
			Onset: r.offset(e), Sound: readSound(e), Source: r.doc.issue(e),
		})
	case "harmony":
		r.harmony(e)
	case "barline":
		r.barline(e)
	default:
		r.other(e, r.offset(e))
	}
}

func (r *partReader) other(e *etree.Element, onset score.Time) {
	o := score.Other{Name: e.Tag, Onset: onset, Staff: r.staff(text(e, "staff")), Source: r.doc.issue(e)}
	r.keepLength(o.Source, "duration", text(e, "duration"))
	r.m.Others = append(r.m.Others, o)
}

// longestKept is the most quarter notes that a length is kept of, to be
// counted in other divisions.
const longestKept = 1 << 8

// keepLength keeps what a copied element says in divisions, if anything.
func (r *partReader) keepLength(source score.Source, name, divisions string) {
	d, ok := decimal(divisions)
	if !ok || d.Quarters() > longestKept*r.divisions.Quarters() {
		return
	}
	if t := d.Mul(r.divisions.Den(), r.divisions.Num()); t.Den() <= score.MaxDenominator {
		r.doc.lengths[lengthKey{source, name}] = t
	}
}

// move moves the cursor. Real files go back past the start of the measure;
// the start is what they mean.
func (r *partReader) move(by score.Time) {
	r.at = score.Max(r.at.Add(by), score.Time{})
	if score.Quarters(maxQuarters).Less(r.at) {
		r.problem("the measure is longer than the limit of %d quarter notes: correct the durations", maxQuarters)
		r.at = score.Time{}
	}
	r.far = score.Max(r.far, r.at)
}

// duration is the length of a note, backup or forward, which says s.
func (r *partReader) duration(e *etree.Element, s string) score.Time {
	if s == "" {
		return r.writtenLength(e)
	}
	if s == r.lastDuration.text {
		return r.lastDuration.length
	}
	d, ok := decimal(s)
	if !ok || d.Sign() < 0 {
		r.problem("duration %q is no number from 0 to 9999999999, with nine decimals at most: correct it, or export the score again", s)
		return score.Time{}
	}
	length := r.quarters(d)
	r.lastDuration = textLength{s, length}
	return length
}

// textLength is a duration as written, and as it was understood.
type textLength struct {
	text   string
	length score.Time
}

// quarters turns divisions into quarter notes.
func (r *partReader) quarters(divisions score.Time) score.Time {
	r.guessed = r.guessed || !r.divided
	length := divisions.Quarters() / r.divisions.Quarters()
	if length > maxQuarters {
		r.problem("a duration of %.0f quarter notes is longer than the limit of %d: correct it, or the divisions", length, maxQuarters)
		return score.Time{}
	}
	t := divisions.Mul(r.divisions.Den(), r.divisions.Num())
	if !r.countable(t) {
		r.problem("a duration of %s quarter notes, beside those before it, divides a quarter note into more than %d parts: correct it, or the divisions", t, score.MaxDenominator)
		return score.Time{}
	}
	return t
}

// countable tells whether t can be added to all times of the score so far, and
// takes its denominator into account.
func (r *partReader) countable(t score.Time) bool {
	if t.Den() > score.MaxDenominator {
		return false // the product below may be beyond 64 bits
	}
	common := score.LCM(*r.common, t.Den())
	if common > score.MaxDenominator {
		return false
	}
	*r.common = common
	return true
}

// writtenLength stands in for a missing duration.
func (r *partReader) writtenLength(e *etree.Element) score.Time {
	t := notation.Value(text(e, "type"))
	if t.Sign() == 0 {
		r.problem("a <%s> has neither duration nor type: give it a duration", e.Tag)
	}
	t = dotted(t, e, "dot")
	if q := readRatio(child(e, "time-modification")); q.Actual > 0 {
		t = t.Mul(int64(q.Normal), int64(q.Actual))
	}
	if !r.countable(t) {
		r.problem("the <%s> without duration divides a quarter note too finely: give it a duration", e.Tag)
		return score.Time{}
	}
	return t
}

// dotted is length with the dots that e has, four at most.
func dotted(length score.Time, e *etree.Element, tag string) score.Time {
	add := length
	for range min(4, len(e.SelectElements(tag))) {
		add = add.Mul(1, 2)
		length = length.Add(add)
	}
	return length
}

// offset is the cursor moved by e's own offset.
func (r *partReader) offset(e *etree.Element) score.Time {
	s := text(e, "offset")
	if s == "" {
		return r.at
	}
	d, ok := decimal(s)
	if !ok {
		r.problem("offset %q is not a number: correct it, or export the score again", s)
		return r.at
	}
	return score.Max(r.at.Add(r.quarters(d)), score.Time{})
}

// mostStaves is the most staves of a part.
const mostStaves = 32

// staff is the number of the staff that is named, 0 for "". A part has at least
// the staves that its music is on, whatever it says.
func (r *partReader) staff(s string) int {
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > mostStaves {
		r.problem("staff %q: a part has 1 to %d", s, mostStaves)
		return 1
	}
	r.part.Staves = max(r.part.Staves, n)
	return n
}

// voiceNumber numbers a voice by its name. Names that are no numbers get the
// first free ones from 101 up.
func (r *partReader) voiceNumber(s string) int {
	if s == "" {
		return 1
	}
	if n, err := strconv.Atoi(s); err == nil && n > 0 && n <= 100 {
		return n
	}
	if r.voices[s] == 0 {
		r.voices[s] = 101 + len(r.voices)
	}
	return r.voices[s]
}

func (r *partReader) barline(e *etree.Element) {
	b := score.Barline{
		Location: attr(e, "location"),
		Style:    text(e, "bar-style"),
		Segno:    child(e, "segno") != nil,
		Coda:     child(e, "coda") != nil,
		Source:   r.doc.issue(e),

		SegnoLabel: attr(e, "segno"), CodaLabel: attr(e, "coda"),
	}
	if b.Location == "" {
		b.Location = "right"
	}
	if rep := child(e, "repeat"); rep != nil {
		b.Repeat = attr(rep, "direction")
		b.Times = atoiOr(attr(rep, "times"), 2)
		b.AfterJump = attr(rep, "after-jump") == "yes"
	}
	if end := child(e, "ending"); end != nil {
		b.Ending = score.Ending{Numbers: attr(end, "number"), Type: attr(end, "type")}
	}
	b.Onset = r.at
	r.m.Barlines = append(r.m.Barlines, b)
}
