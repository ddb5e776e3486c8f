package page

import (
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"

	"undersong/voicing/songbook"
)

// Songbook is what a page about many scores is made of. It stands in the folder
// of results, and leads to them.
type Songbook struct {
	Summary *songbook.Summary
}

// songbookBody is what such a page shows.
type songbookBody struct {
	Towers bool // there are several
	Rows   []songRow
}

// songRow is a score on a tower.
type songRow struct {
	songbook.Row
	Link string
}

// Write writes the page. The same value gives the same bytes.
func (s *Songbook) Write(w io.Writer) error {
	return pages().ExecuteTemplate(w, "songbook", s.document())
}

func (s *Songbook) document() *document {
	body := &songbookBody{}
	var towers []string
	for _, r := range s.Summary.Rows {
		if !slices.Contains(towers, r.Tower) {
			towers = append(towers, r.Tower)
		}
		body.Rows = append(body.Rows, songRow{r, (&url.URL{Path: r.Out}).String()})
	}
	slices.Sort(towers)
	body.Towers = len(towers) > 1
	d := &document{
		Title: "A songbook", Lead: fmt.Sprintf("%s for tower %s", count(s.Summary.Scores, "score"), strings.Join(towers, ", ")), Body: body,
		Facts: []fact{{"To look at", s.Summary.String()}},
	}
	if len(s.Summary.With) > 0 {
		d.Facts = append(d.Facts, fact{"With", strings.Join(s.Summary.With, " ")})
	}
	return d
}
