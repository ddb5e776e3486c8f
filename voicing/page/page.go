package page

import (
	"cmp"
	"embed"
	"errors"
	"html/template"
	"io"
	"path/filepath"
	"sync"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/compare"
	"undersong/voicing/study"
)

// Voice is what a page about one voicing is made of.
type Voice struct {
	Analysis *study.Analysis // of the score that was voiced
	Tower    *instrument.Tower
	Result   *score.Score
	Report   *voicing.Report
	Check    *check.Report // of Result
	// EngravedNote is one line that says why the score is not engraved in the page;
	// "" where it is ([Voice.Engrave]), or nobody asked.
	EngravedNote string

	engraved []engraved
}

// Study is what a page about a score as it is, is made of.
type Study struct {
	Analysis *study.Analysis
	Tower    *instrument.Tower
	File     string // the score's name; "" where it has none
}

// Variants is what a page that compares ways to voice one score is made of.
type Variants struct {
	Analysis *study.Analysis
	Tower    *instrument.Tower
	File     string
	Rows     []compare.Row
	Files    []string // the file of each row's score, "" of none
	Beside   bool     // the page lies in their folder
}

//go:embed page.html page.css page.js
var files embed.FS

// pages are the templates, read once a page is written.
var pages = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(template.FuncMap{
		"css":    func() (template.CSS, error) { b, err := files.ReadFile("page.css"); return template.CSS(b), err },
		"script": func() (template.JS, error) { b, err := files.ReadFile("page.js"); return template.JS(b), err },
		"legend": legend, "smallLegend": smallLegend,
	}).ParseFS(files, "page.html"))
})

// document is what every page has.
type document struct {
	Title, Lead string // what it is about, and what it shows
	Facts       []fact
	Contents    []link
	Body        any
	Audition    *audition // nil for none
}

// fact is a line of what the page is about.
type fact struct{ Name, Text string }

// link leads to a part of the page.
type link struct{ ID, Text string }

// Write writes the page. The same value gives the same bytes.
func (v *Voice) Write(w io.Writer) error {
	if v.Analysis == nil || v.Result == nil || v.Report == nil || v.Check == nil || v.Tower == nil {
		return errors.New("a page about a voicing needs the analysis, the result, its report and its check")
	}
	return pages().ExecuteTemplate(w, "voice", v.document())
}

// Write writes the page. The same value gives the same bytes.
func (s *Study) Write(w io.Writer) error {
	if s.Analysis == nil || s.Tower == nil {
		return errors.New("a page about a score needs its analysis and a tower")
	}
	return pages().ExecuteTemplate(w, "study", s.document())
}

// Write writes the page. The same value gives the same bytes.
func (v *Variants) Write(w io.Writer) error {
	if v.Analysis == nil || v.Tower == nil || len(v.Rows) == 0 {
		return errors.New("a page that compares needs the analysis, a tower and what to compare")
	}
	return pages().ExecuteTemplate(w, "variants", v.document())
}

// titleOf is what a piece is called.
func titleOf(s *score.Score, file string) string {
	if file != "" {
		file = filepath.Base(file)
	}
	return cmp.Or(s.Movement, s.Title, file, "A score without a title")
}
