package voicing

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/harmony"
	"undersong/voicing/lead"
	"undersong/voicing/melody"
)

func (o Options) withDefaults() (Options, error) {
	if o.Voicing == "" {
		o.Voicing = Inverted
	}
	if o.Difficulty == 0 {
		o.Difficulty = 3
	}
	var err error
	if o.Tower == nil {
		o.Tower, err = instrument.Named(instrument.Default)
	}
	return o, err
}

// Voice arranges s for a tower. The result shares parts of s, so neither must
// be changed afterwards. It fails when there is nothing to voice; what the
// tower cannot do is in the report.
func Voice(s *score.Score, o Options) (*score.Score, *Report, error) {
	o, err := o.withDefaults()
	if err != nil {
		return nil, nil, err
	}
	if err := o.check(s); err != nil {
		return nil, nil, err
	}
	nothing := errors.New("the score has no pitched note that is played: there is nothing to voice")
	if s.MeasureCount() == 0 {
		return nil, nil, nothing
	}
	tones := s.Tones()
	var line melody.Line // the same in every key
	var spans []harmony.Span
	if o.Known != nil {
		line, spans = o.Known.Line, o.Known.Harmony
	} else {
		line = melody.Find(s, tones, melody.Options{Overrules: o.Melody})
	}
	if len(line.Tones) == 0 && slices.ContainsFunc(o.Melody, func(r melody.Overrule) bool { return r.None }) {
		return nil, nil, errors.New("no melody is left: it is said of all its measures that there is none")
	}
	if len(line.Tones) == 0 {
		return nil, nil, nothing
	}
	f := newFigures(o.Tower)
	if o.Transpose == TransposeAuto {
		o.Transpose, _ = newOtherKeys(s, tones, line, o, f).best()
	}
	if o.Transpose != 0 {
		s, spans = transposed(s, o.Transpose), nil
		tones = s.Tones()
	}
	a := arrangementOf(s, o, f, tones, line)
	if a.harmony = spans; a.harmony == nil {
		a.findHarmony()
	}
	a = a.withChords()
	for _, notice := range a.source.Notices {
		a.tell("%s", notice)
	}
	a.tellUnsure()
	a.tellMissing()
	a.report.Findings = append(a.report.Findings, TellRepeats(a.source)...)
	a.tellSections()
	a.tellIdle()
	for _, step := range steps {
		a.pass = step.name
		step.apply(a)
	}
	if len(a.with(tune)) == 0 && !a.partly {
		return nil, nil, fmt.Errorf("no note of the melody has a key on tower %s: choose another tower or voicing", o.Tower.Name)
	}
	if o.Transpose == 0 {
		a.suggestKey(s, tones, line, o)
	}
	a.tellChords()
	out, report := a.layOut(), a.finish()
	out.Made = report.Way()
	return out, report, nil
}

// withChords is a with an accompaniment made of its chord symbols, if it is a
// lead sheet.
func (a *arrangement) withChords() *arrangement {
	s, o := a.source, a.options
	if !lead.Sheet(s, a.tones) {
		if len(a.notes) == len(a.line.Tones) {
			a.tell("the source has one line and no chord symbols, so only the line is voiced")
		}
		return a
	}
	key, _ := harmony.FindKey(s, a.tones)
	figures := a.chordFigures()
	realised := lead.Realise(s, a.harmony, figures.style, key.Key)
	// The line stays what it is beside its new accompaniment.
	tones := realised.Tones()
	a = arrangementOf(realised, o, a.figures, tones, moveLine(a.line, a.tones, tones))
	a.findHarmony()
	a.made = len(s.Parts)
	a.report.Figure = figures.used()
	a.tell("the accompaniment is made of the chord symbols: %s; --figure, or figure in a plan, chooses another", a.report.Figure)
	if figures.heldInstead {
		a.tell("a tremolo takes both hands: where the melody has one of them, the chords are held")
	}
	return a
}

// chordFigures are the figures in which chord symbols are played.
type chordFigures struct {
	a           *arrangement
	usual       lead.Figure // where the plan says nothing
	all         []lead.Figure
	heldInstead bool // of a tremolo, for want of a hand
}

func (a *arrangement) chordFigures() *chordFigures {
	f := &chordFigures{a: a, usual: a.options.Figure}
	if f.usual == "" {
		tempo, _ := a.clock.Tempo()
		beats := a.beats[0]
		if len(beats) > 0 {
			tempo /= beats[0].Quarters()
		}
		f.usual = lead.Choose(beats, tempo)
	}
	return f
}

// style is how a chord is played that begins at a moment: full where two of its tones
// are to be struck over the melody.
func (f *chordFigures) style(t score.Time) lead.Style {
	way := f.a.wayAt(t)
	return lead.Style{Figure: f.at(t), Full: way != nil && way.close}
}

// at is the figure of a chord that begins at a moment.
func (f *chordFigures) at(t score.Time) lead.Figure {
	figure, way := f.usual, f.a.wayAt(t)
	if way != nil && way.figure != "" {
		figure = way.figure
	}
	if figure == lead.Tremolo && (way == nil || !way.handsFree()) {
		figure, f.heldInstead = lead.Held, true
	}
	if !slices.Contains(f.all, figure) {
		f.all = append(f.all, figure)
	}
	return figure
}

// used is such as "held, after-beat": all that were asked for.
func (f *chordFigures) used() string {
	var names []string
	for _, figure := range f.all {
		names = append(names, string(figure))
	}
	return strings.Join(names, ", ")
}

// moveLine is a line of one list of tones in another that has them too.
func moveLine(line melody.Line, from, to []score.Tone) melody.Line {
	index := map[*score.Note]int{}
	for i := range to {
		index[to[i].First()] = i
	}
	moved := line
	moved.Tones = nil
	for _, i := range line.Tones {
		moved.Tones = append(moved.Tones, index[from[i].First()])
	}
	moved.Interludes = nil // nothing beside the line could lead
	return moved
}

// finish fills in the report's totals.
func (a *arrangement) finish() *Report {
	r := a.report
	r.Version, r.Title, r.Tower, r.Voicing = 1, a.source.Title, a.tower.Name, a.options.Voicing
	if a.source.Movement != "" {
		r.Title = a.source.Movement
	}
	r.Transpose, r.Difficulty = a.options.Transpose, a.options.Difficulty
	r.Melody.From, r.Melody.Notes, r.Melody.Elsewhere, r.Melody.Sure = a.line.From, len(a.line.Tones), a.elsewhere(), a.line.SureOfAll()
	r.Interludes = a.interludeReports()
	r.Changes = slices.DeleteFunc(r.Changes, func(c Change) bool { return c.of != nil && c.of.leftOut != "" && c.LeftOut == "" })
	r.tune, r.out = map[standing]bool{}, map[*score.Note]string{}
	for _, n := range a.with(tune) {
		r.tune[standing{n.Onset, n.line, n.placed()}] = true
	}
	r.Sections = []SectionReport{}
	for _, s := range a.options.Sections {
		first, last := a.firstMeasure(s.From), a.firstMeasure(s.To)-1
		r.Sections = append(r.Sections, SectionReport{a.measureNumber(first), a.measureNumber(last), s.Voicing, first, last})
	}
	r.parted = !slices.ContainsFunc(a.notes, func(n *note) bool {
		return a.sectionAt(n.Onset) < 0
	})
	for _, n := range a.notes {
		if made := a.isMade(n); made && n.way == nil {
			continue // there is nothing to accompany what is left as written
		} else if made {
			r.Notes.Added++
		}
		r.Notes.Source++
		if n.leftOut != "" {
			r.out[n.First()] = n.leftOut
		}
		switch {
		case n.leftOut == doubledNote:
			r.Notes.Merged++
		case n.leftOut != "":
			r.Notes.Dropped++
		case n.octaves != 0 || n.late:
			r.Notes.Moved++
		default:
			r.Notes.Kept++
		}
	}
	r.Notes.Written, r.Notes.LeftOut = r.Notes.Kept+r.Notes.Moved, r.Notes.Merged+r.Notes.Dropped
	return r
}

// isMade tells whether n is made of a chord symbol.
func (a *arrangement) isMade(n *note) bool { return a.made > 0 && n.Part == a.made }

// elsewhere is how many notes of the melody are moved by other octaves than most
// of those that are voiced alike.
func (a *arrangement) elsewhere() (n int) {
	moves := map[*way]map[int]int{}
	for _, t := range a.melody() {
		if t.grace() {
			continue
		}
		if moves[t.way] == nil {
			moves[t.way] = map[int]int{}
		}
		moves[t.way][t.octaves]++
	}
	for _, by := range moves {
		most := 0
		for _, notes := range by {
			n += notes
			most = max(most, notes)
		}
		n -= most
	}
	return n
}

// firstMeasure is the index of the measure that a section beginning at t is
// named by: with a pickup it is the one that this leads to.
func (a *arrangement) firstMeasure(t score.Time) int {
	i, _ := slices.BinarySearchFunc(a.starts, t, score.Time.Cmp)
	return i
}

// measureNumber is a measure's as printed.
func (a *arrangement) measureNumber(i int) string { return leadPart(a.source).Measures[i].Number }
