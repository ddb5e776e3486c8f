package voicing

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"undersong/score"
	"undersong/voicing/melody"
)

// atBreaths are sections whose bounds inside a phrase of the melody are moved to
// where it breathes: a pickup goes with what follows, and an ending with what
// it ends. A bound that has neither stays and parts the phrase, and so does one
// of a section that would be left without melody, or that is left as written.
func (a *arrangement) atBreaths(sections []Section) []Section {
	moved := map[score.Time]score.Time{}
	for _, s := range sections {
		for _, bound := range []score.Time{s.From, s.To} {
			moved[bound] = a.breathNear(bound)
		}
	}
	for _, s := range sections {
		for _, bound := range []score.Time{s.From, s.To} {
			if s.Voicing == AsWritten || !a.sings(moved[s.From], moved[s.To]) {
				moved[bound] = bound
			}
		}
	}
	sections = slices.Clone(sections)
	for i := range sections {
		s := &sections[i]
		s.From, s.To = moved[s.From], moved[s.To]
	}
	return sections
}

// breathNear is where the melody breathes near a bound inside one of its
// phrases: before it, if the phrase begins no more than half a measure earlier,
// else after it, if the phrase ends within a measure, else nowhere but there.
// How near is the project's own.
func (a *arrangement) breathNear(bound score.Time) score.Time {
	for _, p := range a.line.Phrases {
		first, last := a.bounds(p)
		if !first.Less(bound) || last.Less(bound) {
			continue
		}
		switch {
		case !first.Add(a.measureLength(first).Mul(1, 2)).Less(bound):
			return first
		case last.Less(bound.Add(a.measureLength(bound))):
			return a.strokeAfter(last)
		}
	}
	return bound
}

// bounds are the first and the last onset of a phrase.
func (a *arrangement) bounds(p melody.Phrase) (first, last score.Time) {
	return a.tones[a.line.Tones[p.First]].Onset, a.tones[a.line.Tones[p.Last-1]].Onset
}

func (a *arrangement) measureLength(t score.Time) score.Time {
	i := a.measureAt(t)
	return a.starts[i+1].Sub(a.starts[i])
}

// strokeAfter is the first onset after t, or the end of the piece.
func (a *arrangement) strokeAfter(t score.Time) score.Time {
	for i := range a.tones {
		if t.Less(a.tones[i].Onset) {
			return a.tones[i].Onset
		}
	}
	return a.starts[len(a.starts)-1]
}

// sings tells whether a note of the melody begins between two moments.
func (a *arrangement) sings(from, to score.Time) bool {
	return slices.ContainsFunc(a.line.Tones, func(i int) bool {
		return !a.tones[i].Onset.Less(from) && a.tones[i].Onset.Less(to)
	})
}

// tellIdle reports what sections ask for that changes nothing.
func (a *arrangement) tellIdle() {
	if a.options.Figure != "" && a.report.Figure == "" {
		a.tell("the figure %s changes nothing: it is for a lead sheet's chord symbols, and this is none", a.options.Figure)
	}
	for _, s := range a.options.Sections {
		idle := ""
		switch m := s.Manner; {
		case s.Voicing == AsWritten && m != Manner{}:
			idle = "what else the plan says of it changes nothing: it is left as written"
		case m.Alone && (m.Notes > 0 || m.Softer > 0 || m.Figure != ""):
			idle = "notes, softer and figure change nothing where the melody is alone"
		case m.Figure != "" && a.report.Figure == "":
			idle = fmt.Sprintf("the figure %s changes nothing: it is for a lead sheet's chord symbols, and this is none", m.Figure)
		default:
			continue
		}
		a.tellSection(s, idle)
	}
}

// tellSection tells something of a section, at its first measure.
func (a *arrangement) tellSection(s Section, what string) {
	first, last := a.firstMeasure(s.From), a.firstMeasure(s.To)-1
	a.report.Findings = append(a.report.Findings, Finding{
		Pass: "voice", Nth: first + 1, Place: score.Place{Measure: a.measureNumber(first)},
		Text: "from here to measure " + a.measureNumber(last) + " " + what,
	})
}

// tellUnsure tells that the melody is not sure: on the whole, or else where.
func (a *arrangement) tellUnsure() {
	if sure := a.line.SureOfAll(); sure < melody.SureEnough {
		a.tell("the melody is sure to %d %% only: 'undersong study' says where and what else it might be, --melody sets it", sure)
		return
	}
	var where []string
	least := 100
	for _, p := range a.line.Phrases {
		if p.Sure < melody.SureEnough {
			first, last := a.bounds(p)
			where = append(where, a.measureNumber(a.measureAt(first))+"–"+a.measureNumber(a.measureAt(last)))
			least = min(least, p.Sure)
		}
	}
	if len(where) > 0 {
		a.tell("the melody is not sure in measures %s (%d %% at least): 'undersong study' says what else it might be, --melody sets it", strings.Join(where, ", "), least)
	}
}

// tellMissing tells of measures in which a melody may be that was not found.
func (a *arrangement) tellMissing() {
	var where []string
	for _, m := range a.line.Missing(a.source, a.tones) {
		where = append(where, a.measureNumber(m.First)+"–"+a.measureNumber(m.Last))
	}
	if len(where) > 0 {
		a.tell("no melody was found in measures %s, which are all accompaniment: if there is one, --melody sets it", strings.Join(where, ", "))
	}
}

// TellRepeats tells what is likely wrong with the order in which a score is played: repeats
// that seem to lack their forward sign, measures that are never played, and verses that do
// not fit the times that their music is.
func TellRepeats(s *score.Score) (told []Finding) {
	tell := func(measure int, text string) {
		told = append(told, Finding{Pass: "voice", Nth: measure + 1, Place: score.Place{Measure: s.MeasureNumber(measure)}, Text: text})
	}
	if all := s.Unopened(); len(all) > 0 {
		also := ""
		if more := all[1:]; len(more) > 0 {
			var numbers []string
			for _, i := range more {
				numbers = append(numbers, s.MeasureNumber(i))
			}
			also = " (as in " + score.Measures(numbers...) + ")"
		}
		tell(all[0], "the repeat goes back to the beginning"+also+", to a pickup that this measure ends with already: "+
			"if it should begin after that, the source lacks a forward repeat in measure "+s.MeasureNumber(1))
	}
	for _, r := range s.Unplayed() {
		text := "this measure is never played: correct the numbers of the endings, or the signs that should lead here"
		if r[1] > r[0]+1 {
			text = fmt.Sprintf("from here to measure %s nothing is ever played: correct the numbers of the endings, or the signs that should lead here", s.MeasureNumber(r[1]-1))
		}
		tell(r[0], text)
	}
	for _, err := range s.VersesUnsung() {
		if e, ok := errors.AsType[*score.Error](err); ok {
			told = append(told, Finding{Pass: "voice", Place: e.Place, Text: e.Problem})
		}
	}
	return told
}

// tellSections reports the sections that are left as they are, in which nothing
// was looked at, and where the voicing changes inside a phrase.
func (a *arrangement) tellSections() {
	for _, s := range a.options.Sections {
		if s.Voicing == AsWritten {
			a.tellSection(s, "all is left as written: undersong check tells what this tower can do of it")
		}
	}
	a.pass = "voice"
	for _, p := range a.line.Phrases {
		first, last := a.bounds(p)
		for i := p.First + 1; i < p.Last; i++ {
			was, is := &a.byTone[a.line.Tones[i-1]], &a.byTone[a.line.Tones[i]]
			if was.way != is.way && was.way != nil && is.way != nil {
				a.finding(is, "the voicing changes here inside a phrase of the melody, which goes from measure %s to %s",
					a.measureNumber(a.measureAt(first)), a.measureNumber(a.measureAt(last)))
			}
		}
	}
}
