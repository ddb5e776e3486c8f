package page

import (
	"fmt"
	"strconv"
	"strings"

	"undersong/score"
	"undersong/voicing/melody"
	"undersong/voicing/study"
)

// studyBody is what a page about a score as it is shows.
type studyBody struct {
	Rulers   []*ruler
	Sections []section
	Phrases  []phrase
}

// phrase is a stretch of the melody.
type phrase struct {
	Cell, Measures, Beat string
	Notes, Sure          int
	Doubt                string
	Octaves              string
}

func (s *Study) document() *document {
	st := s.Analysis.Study(s.Tower)
	m := source(s.Analysis, nil)
	body := &studyBody{Rulers: []*ruler{m.ruler("ra", nil)}, Sections: sections(st)}
	column := m.column()
	for i, bounds := range s.Analysis.Sections {
		body.Sections[i].Cells = cells(bounds.First, bounds.Last, column, view{m, "the music", "before", body.Rulers[0], nil})
	}
	from := 0
	for _, p := range st.Phrases {
		from = max(0, m.index(p.FirstMeasure, from))
		body.Phrases = append(body.Phrases, newPhrase(p, measureID(from)))
	}
	return &document{
		Title: titleOf(s.Analysis.Score, s.File), Lead: "a study for tower " + s.Tower.Name, Facts: studyFacts(st), Body: body,
		Contents: append(contents(body.Sections), link{"phrases", "Phrases"}),
	}
}

func newPhrase(p study.Phrase, cell string) phrase {
	out := phrase{Cell: cell, Measures: score.MeasureSpan(p.FirstMeasure, p.LastMeasure), Beat: p.Beat, Notes: p.Notes, Sure: p.Sure, Octaves: "none"}
	if p.Sure < melody.SureEnough {
		out.Doubt = "unsure"
		if p.Rival != "" {
			out.Doubt += ", it might be " + p.Rival
		}
	}
	var moves []string
	for _, o := range p.PedalOctaves {
		moves = append(moves, fmt.Sprintf("%+d", o))
	}
	if len(moves) > 0 {
		out.Octaves = strings.Join(moves, ", ")
	}
	return out
}

func studyFacts(st *study.Study) []fact {
	all := []fact{
		{"Key", strings.Join(st.KeyTexts(), ", ")},
		{"Tempo", st.Tempo.String()},
		{"Melody", fmt.Sprintf("%s, %s in %s; sure: %d %%", st.MelodyFrom, score.Count(len(st.Melody), "note"), score.Count(len(st.Phrases), "phrase"), st.Sure)},
	}
	if len(st.Interludes) > 0 {
		all = append(all, fact{"Interludes", strings.Join(st.InterludeTexts(), "; ")})
	}
	if names := order(st); names != "" {
		all = append(all, fact{"Played", names})
	}
	if label, what := st.LastText(); what != "" {
		all = append(all, fact{capital(label), what})
	}
	if text := st.TransposeText(); text != "" {
		all = append(all, fact{"Another key", text})
	}
	if len(st.Notices) > 0 {
		all = append(all, fact{"Notice", strings.Join(st.Notices, "; ")})
	}
	return all
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// mostPasses is how many sections are named in the order of playing.
const mostPasses = 40

// order is the sections as they are played, "" where that is as written.
func order(st *study.Study) string {
	var names []string
	again := false
	for _, p := range st.Order {
		again = again || p.Nth > 1
		name := p.Name
		if p.Nth > 1 {
			name += " (" + strconv.Itoa(p.Nth) + ")"
		}
		names = append(names, name)
	}
	if !again {
		return ""
	}
	return list(names, mostPasses)
}
