package page

import (
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"

	"undersong/score"
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
	Link  string
	About string // a page about it; "" of none
	Again string // that another score has its title
}

// Write writes the page. The same value gives the same bytes.
func (s *Songbook) Write(w io.Writer) error {
	return pages().ExecuteTemplate(w, "songbook", s.document())
}

func (s *Songbook) document() *document {
	body := &songbookBody{}
	var towers []string
	titles := map[string]map[string]bool{} // names of the scores of each
	for _, r := range s.Summary.Rows {
		if titles[r.Title] == nil {
			titles[r.Title] = map[string]bool{}
		}
		titles[r.Title][r.Name] = true
		if !slices.Contains(towers, r.Tower) {
			towers = append(towers, r.Tower)
		}
	}
	for _, r := range s.Summary.ForPeople() {
		row := songRow{Row: r, Link: fileLink(r.Out)}
		row.Name = songbook.Shown(r.Name)
		if r.Page != "" {
			row.About = fileLink(r.Page)
		}
		if n := len(titles[r.Title]); r.Title != "" && n > 1 {
			row.Again = fmt.Sprintf("%d scores have this title", n)
		}
		body.Rows = append(body.Rows, row)
	}
	slices.Sort(towers)
	body.Towers = len(towers) > 1
	d := &document{
		Title: "A songbook", Lead: fmt.Sprintf("%s for tower %s", score.Count(s.Summary.Scores, "score"), strings.Join(towers, ", ")), Body: body,
		Facts: []fact{{"To look at", s.Summary.String()}},
	}
	if s.Summary.Source != "" {
		d.Facts = append(d.Facts, fact{"From", s.Summary.Source}, fact{"Made by", "undersong " + s.Summary.Program})
	}
	if len(s.Summary.With) > 0 {
		d.Facts = append(d.Facts, fact{"With", strings.Join(s.Summary.With, " ")})
	}
	return d
}

// fileLink leads to a file of a summary.
func fileLink(name string) string { return (&url.URL{Path: songbook.File(name)}).String() }
