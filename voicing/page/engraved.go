package page

import (
	"errors"
	"fmt"
	"html/template"

	"undersong/score"
)

// System is a system of the engraved score, as another program drew it.
type System struct {
	SVG      string `json:"svg"`
	Measures int    `json:"measures"` // how many are in it
}

// Engrave puts the drawn score into the page. What was drawn is not trusted:
// only shapes, text and a font that is in the drawing itself stay. An error
// says which system has something else, and the page is as it was.
func (v *Voice) Engrave(drawn []System) error {
	if len(drawn) == 0 {
		return errors.New("no system was drawn")
	}
	numbers, total := v.Result.MeasureNumbers(), 0
	for _, d := range drawn {
		total += d.Measures
	}
	s := &scribe{glyphs: map[string]bool{}}
	all := make([]engraved, len(drawn))
	at := 0
	for i, d := range drawn {
		s.out.Reset()
		if err := s.copy(d.SVG); err != nil {
			return fmt.Errorf("system %d of the drawing: %w", i+1, err)
		}
		all[i] = engraved{SVG: template.HTML(s.out.String()), Label: fmt.Sprintf("system %d", i+1)}
		if to := at + d.Measures; total == len(numbers) && at < to && to <= total { // else some are drawn as one
			all[i].Label, all[i].Cell = score.Measures(score.MeasureSpan(numbers[at], numbers[to-1])), measureID(at)
		}
		at += d.Measures
	}
	v.engraved = all
	return nil
}

// engraved is a system in the page.
type engraved struct {
	SVG   template.HTML
	Label string
	Cell  string // the ID of its first measure's cell; "" where that is not known
}
