package voicing

import (
	"errors"
	"fmt"
	"slices"

	"undersong/instrument"
	"undersong/score"
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
	if o.Transpose == TransposeAuto {
		o.Transpose, _ = bestKey(s, o)
	}
	if o.Transpose != 0 {
		s = transposed(s, transposition(s, o.Transpose))
	}
	a := newArrangement(s, o)
	if len(a.line.Tones) == 0 {
		return nil, nil, nothing
	}
	if len(a.notes) == len(a.line.Tones) {
		a.pass = "voice"
		a.report.Findings = append(a.report.Findings, Finding{
			Pass: a.pass, Text: "the source has one line only, so only the line is voiced; chord symbols are kept as they stand",
		})
	}
	for _, step := range steps {
		a.pass = step.Name()
		step.Apply(a)
	}
	if len(a.with(tune)) == 0 && !slices.Contains(a.asWritten, true) {
		return nil, nil, fmt.Errorf("no note of the melody has a key on tower %s: choose another tower or voicing", o.Tower.Name)
	}
	if o.Transpose == 0 {
		a.suggestKey(o)
	}
	return a.layOut(), a.finish(), nil
}

// finish fills in the report's totals.
func (a *arrangement) finish() *Report {
	r := a.report
	r.Version, r.Title, r.Tower, r.Voicing = 1, a.source.Title, a.tower.Name, a.options.Voicing
	if a.source.Movement != "" {
		r.Title = a.source.Movement
	}
	r.Transpose, r.Difficulty = a.options.Transpose, a.options.Difficulty
	r.Melody.From, r.Melody.Notes = a.line.From, len(a.line.Tones)
	r.Sections = []SectionReport{}
	for _, s := range a.options.Sections {
		last := a.measureAt(s.To)
		if last > 0 && !a.starts[last].Less(s.To) {
			last--
		}
		number := func(i int) string { return leadPart(a.source).Measures[i].Number }
		r.Sections = append(r.Sections, SectionReport{number(a.measureAt(s.From)), number(last), s.Voicing})
	}
	for _, n := range a.notes {
		r.Notes.Source++
		switch {
		case n.leftOut == doubledNote:
			r.Notes.Merged++
		case n.leftOut != "":
			r.Notes.Dropped++
		case n.octaves != 0:
			r.Notes.Moved++
		default:
			r.Notes.Kept++
		}
	}
	r.Notes.Written, r.Notes.LeftOut = r.Notes.Kept+r.Notes.Moved, r.Notes.Merged+r.Notes.Dropped
	return r
}
