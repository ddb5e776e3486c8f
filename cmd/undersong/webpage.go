package main

import (
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/check"
	web "undersong/voicing/page"
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

// voicePage is a page about a voicing of source and its check, with --engrave the engraved
// score in it.
func (j *job) voicePage(c *cli.Context, source, result *score.Score, report *voicing.Report, found *check.Report) (*web.Voice, error) {
	a := j.analyse()
	if source != j.score() {
		a = a.WrittenOut(source, j.rules)
	}
	page := &web.Voice{Analysis: a, Tower: j.tower, Result: result, Report: report, Check: found}
	if c.Bool("engrave") {
		return page, engrave(c, j.doc, page)
	}
	return page, nil
}
