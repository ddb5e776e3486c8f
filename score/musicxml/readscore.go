package musicxml

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"undersong/score"
)

func readScore(ctx context.Context, doc *Document) (*score.Score, error) {
	root := doc.tree.Root
	s := &score.Score{}
	readHeader(root, s)
	names := map[string]string{}
	var unlisted, guessed []string // parts, by ID
	for _, p := range root.FindElements("part-list/score-part") {
		names[attr(p, "id")] = label(text(p, "part-name"))
	}
	var problems []error
	common := int64(1)
	for _, p := range partElements(root) {
		r := newPartReader(doc, &score.Part{ID: p.id, Name: names[p.id], Staves: 1, Source: doc.issue(p.element)}, &common)
		for _, m := range p.measures {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			r.measure(m.measure, m.content)
		}
		r.dropForeign()
		if _, listed := names[p.id]; !listed {
			unlisted = append(unlisted, p.id)
		}
		if r.guessed {
			guessed = append(guessed, p.id)
		}
		s.Parts = append(s.Parts, r.part)
		problems = append(problems, r.problems...)
	}
	if s.MeasureCount() == 0 && len(problems) == 0 {
		problems = append(problems, errors.New("the score is empty: it has no measure; export it again"))
	}
	// Parts of one name may have the same problems.
	problems = slices.CompactFunc(problems, func(a, b error) bool { return a.Error() == b.Error() })
	if len(problems) > maxProblems {
		problems = append(problems[:maxProblems], errors.New("and more: these are the first"))
	}
	s.Notices = notices(s, unlisted, guessed)
	return s, errors.Join(problems...)
}

// notices are what is likely wrong: with the ids of parts, with parts whose divisions
// are guessed, with the lengths of measures.
func notices(s *score.Score, unlisted, guessed []string) (all []string) {
	if len(unlisted) > 0 {
		all = append(all, fmt.Sprintf("the part-list has no score-part of the id %s, so that its part has no name: correct the id of one of them", quoted(unlisted)))
	}
	if len(guessed) > 0 {
		all = append(all, fmt.Sprintf("part %s has durations before it says its divisions, so that 1 is taken for a quarter note: write the divisions into its first measure, or export the score again", quoted(guessed)))
	}
	if text := s.MisfitText(); text != "" {
		all = append(all, text)
	}
	return all
}

// quoted are names in a line, of many the first.
func quoted(names []string) string {
	const most = 8
	var all []string
	for _, n := range names[:min(most, len(names))] {
		all = append(all, strconv.Quote(clipped(n)))
	}
	if len(names) > most {
		all = append(all, "…")
	}
	return strings.Join(all, ", ")
}

// dropForeign takes out signatures and clefs of staves that the part does not
// have: they say nothing of it. The document keeps them.
func (r *partReader) dropForeign() {
	beyond := func(staff int) bool { return staff > r.part.Staves || staff < 0 }
	for _, m := range r.part.Measures {
		m.Clefs = slices.DeleteFunc(m.Clefs, func(c score.ClefChange) bool { return beyond(c.Staff) })
		m.Keys = slices.DeleteFunc(m.Keys, func(c score.KeyChange) bool { return beyond(c.Staff) })
		m.Times = slices.DeleteFunc(m.Times, func(c score.TimeChange) bool { return beyond(c.Staff) })
		m.Transposes = slices.DeleteFunc(m.Transposes, func(c score.TransposeChange) bool { return beyond(c.Staff) })
	}
}

// partElements gathers the measures of each part, however the file nests
// them. In a timewise score the content of a measure is its part's.
func partElements(root *etree.Element) []partElement {
	var parts []partElement
	if root.Tag == "score-partwise" {
		for _, p := range root.SelectElements("part") {
			part := partElement{id: attr(p, "id"), element: p}
			for _, m := range p.SelectElements("measure") {
				part.measures = append(part.measures, measureElement{m, m})
			}
			parts = append(parts, part)
		}
		return parts
	}
	index := map[string]int{}
	for _, m := range root.SelectElements("measure") {
		for _, p := range m.SelectElements("part") {
			id := attr(p, "id")
			i, known := index[id]
			if !known {
				i = len(parts)
				index[id] = i
				parts = append(parts, partElement{id: id, element: p})
			}
			parts[i].measures = append(parts[i].measures, measureElement{m, p})
		}
	}
	return parts
}

type partElement struct {
	id       string
	element  *etree.Element
	measures []measureElement
}

// measureElement is a measure: the element with its number, and the one with
// its music.
type measureElement struct{ measure, content *etree.Element }

// readHeader finds the titles and names, in the credits where the
// identification lacks them.
func readHeader(root *etree.Element, s *score.Score) {
	movement := label(text(root, "movement-title"))
	s.Title = label(text(child(root, "work"), "work-title"))
	if s.Title == "" {
		s.Title = movement
	} else {
		s.Movement = movement
	}
	if id := child(root, "identification"); id != nil {
		for _, c := range id.SelectElements("creator") {
			if attr(c, "type") == "composer" {
				s.Composers = append(s.Composers, strings.TrimSpace(c.Text()))
			}
		}
		for _, r := range id.SelectElements("rights") {
			s.Rights = append(s.Rights, strings.TrimSpace(r.Text()))
		}
		s.Made = label(text(child(id, "encoding"), description))
	}
	if s.Title == "" {
		s.Title = label(credit(root, "title"))
	}
	if len(s.Composers) == 0 {
		if c := credit(root, "composer"); c != "" {
			s.Composers = []string{c}
		}
	}
	if len(s.Rights) == 0 {
		if c := credit(root, "rights"); c != "" {
			s.Rights = []string{c}
		}
	}
}

// credit is the text of the first credit of a type.
func credit(root *etree.Element, kind string) string {
	for _, c := range root.SelectElements("credit") {
		if text(c, "credit-type") == kind {
			return text(c, "credit-words")
		}
	}
	return ""
}
