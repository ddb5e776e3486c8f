package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/compare"
	"undersong/voicing/melody"
	web "undersong/voicing/page"
	"undersong/voicing/study"
)

// pageFlag names a page to write.
func pageFlag() cli.Flag {
	return &cli.StringFlag{Name: "page", Usage: "also write a page to look at and to listen to, one file for any browser, to `OUT.html`"}
}

// pageName is where the page goes, "" for none. It refuses, before any work,
// what cannot be written, and the names of other files to come.
func pageName(c *cli.Context, in string, others ...string) (string, error) {
	out := c.String("page")
	switch ending := strings.ToLower(filepath.Ext(out)); {
	case out == "":
		return "", nil
	case ending != ".html" && ending != ".htm":
		return "", usage("--page %s: the name of a page ends in .html", out)
	case slices.ContainsFunc(others, func(other string) bool { return other != "" && other != "-" && sameFile(other, out) }):
		return "", usage("--page and another flag name the same file %s", out)
	}
	return out, newFile(c, in, out)
}

// voicePage is a page about a voicing of source.
func (j *job) voicePage(source *score.Score, rules []melody.Overrule, result *score.Score, report *voicing.Report) (*web.Voice, error) {
	found, err := check.Score(result, check.Options{Tower: j.tower, Tune: report.Tune})
	if err != nil {
		return nil, err
	}
	return &web.Voice{Analysis: study.Analyse(source, rules), Tower: j.tower, Result: result, Report: report, Check: found}, nil
}

// variantsPage is a page that compares ways, each in the file of its name.
func (j *job) variantsPage(a *study.Analysis, rows []compare.Row, files []string) *web.Variants {
	return &web.Variants{Analysis: a, Tower: j.tower, File: filepath.Base(j.in), Rows: rows, Files: files}
}

// writer is how a page is written.
type writer interface{ Write(io.Writer) error }

// withPage adds a page to the files to be written, if it is asked for.
func withPage(files []outFile, name string, page writer) []outFile {
	if name == "" {
		return files
	}
	return append(files, outFile{name, page.Write})
}
