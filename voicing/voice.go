package voicing

import (
	"errors"
	"fmt"
	"slices"

	"undersong/instrument"
	"undersong/score"
)

// Options say how a score is to be voiced. Zero fields take the defaults.
type Options struct {
	Tower   *instrument.Tower // default: the profile instrument.Default
	Voicing Voicing           // default: Inverted
}

func (o Options) withDefaults() (Options, error) {
	if o.Voicing == "" {
		o.Voicing = Inverted
	}
	if !slices.Contains(Voicings(), o.Voicing) {
		return o, fmt.Errorf("no voicing %q: there are %v", o.Voicing, Voicings())
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
	nothing := errors.New("the score has no pitched note that is played: there is nothing to voice")
	if s.MeasureCount() == 0 {
		return nil, nil, nothing
	}
	a := newArrangement(s, o.Tower)
	if len(a.Line.Tones) == 0 {
		return nil, nil, nothing
	}
	if len(a.Notes) == len(a.Line.Tones) {
		a.pass = "voice"
		a.report.Findings = append(a.report.Findings, Finding{
			Pass: a.pass, Text: "the source has one line only, so only the line is voiced; chord symbols are kept as they stand",
		})
	}
	for _, step := range Steps(o.Voicing) {
		a.pass = step.Pass.Name()
		step.Pass.Apply(a)
	}
	if len(a.with(Melody)) == 0 {
		return nil, nil, fmt.Errorf("no note of the melody has a key on the %s of tower %s: choose another tower or voicing", a.melodyOn, o.Tower.Name)
	}
	return a.layOut(), a.finish(o), nil
}

// finish fills in the report's totals.
func (a *Arrangement) finish(o Options) *Report {
	r := a.report
	r.Version, r.Title, r.Tower, r.Voicing = 1, a.Source.Title, a.Tower.Name, o.Voicing
	if a.Source.Movement != "" {
		r.Title = a.Source.Movement
	}
	r.Melody.From, r.Melody.Notes = a.Line.From, len(a.Line.Tones)
	r.Notes.Source = len(a.Notes)
	for _, n := range a.Notes {
		if n.LeftOut != "" {
			r.Notes.LeftOut++
		}
	}
	r.Notes.Written = r.Notes.Source - r.Notes.LeftOut
	return r
}
