package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/voicing"
	"undersong/voicing/compare"
	web "undersong/voicing/page"
)

// variantsCommand writes a folder of ways to voice one score.
func variantsCommand() *cli.Command {
	return &cli.Command{
		Name:      "variants",
		Usage:     "voice a score in several sensible ways and compare them",
		ArgsUsage: "SCORE",
		Description: "Writes SCORE plain, inverted, covered, in the tenor for the verses, and as its study would\n" +
			"have it, all for one tower, into a folder, with a page that compares them, and prints a table\n" +
			"of how difficult, clear and blurred each is and what it leaves out.",
		Flags: append([]cli.Flag{
			towerFlag("to voice for"),
			melodyFlag(),
			sectionsFlag(),
			&cli.StringFlag{Name: "o", Usage: "the `FOLDER` to write to, made if it is not there; default: the score's name with -variants added, in this folder"},
			&cli.BoolFlag{Name: "json", Usage: "print the table as JSON"},
			pageFlag(),
			forceFlag(),
		}, limitFlags()...),
		Action: variants,
	}
}

func variants(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	folder := c.String("o")
	switch {
	case folder == "" && in == "-":
		return usage("a score from standard input has no name: give a folder with -o")
	case folder == "":
		folder = stem(in) + "-variants"
	}
	pageTo, err := pageName(c, in)
	if err != nil {
		return err
	}
	j, err := load(c, in)
	if err != nil {
		return err
	}
	a := j.analyse()
	var rows []compare.Row
	var data []rowData
	var files []outFile
	var names []string // of the files of rows
	for _, v := range compare.Variants(a.Study(j.tower)) {
		row := compare.Voice(v.Name, a, v.Plan, voicing.Options{Tower: j.tower, Melody: j.rules})
		rows = append(rows, row)
		name, path := "", ""
		if row.Result != nil {
			name = stem(in) + "-" + v.Name + ".musicxml"
			path = filepath.Join(folder, name)
			files = append(files, outFile{path, scoreWriter(path, j.doc, row.Result)})
		}
		names = append(names, name)
		data = append(data, rowData{Version: 1, File: in, Tower: j.tower.Name, Out: path, Row: row})
	}
	if len(files) == 0 {
		return fmt.Errorf("%s: %s", in, rows[0].Error)
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("%s cannot be made: %w", folder, cause(err))
	}
	pageTo = cmp.Or(pageTo, filepath.Join(folder, stem(in)+"-variants.html"))
	page := &web.Variants{
		Analysis: a, Tower: j.tower, File: filepath.Base(in), Rows: rows, Files: names, Beside: filepath.Dir(pageTo) == filepath.Clean(folder),
	}
	files = append(files, outFile{pageTo, page.Write})
	if err := writeAll(c, files...); err != nil {
		return err
	}
	return printRows(c, "variant", data)
}

// rowData is a row as data, by itself. Its fields are stable.
type rowData struct {
	Version int    `json:"version"` // of this form: 1
	File    string `json:"file"`    // the score
	Tower   string `json:"tower"`
	Out     string `json:"out,omitempty"` // the file written, if one is
	compare.Row
}

func printRows(c *cli.Context, what string, data []rowData) error {
	if c.Bool("json") {
		return printJSON(c.App.Writer, data)
	}
	var rows []compare.Row
	for _, d := range data {
		rows = append(rows, d.Row)
	}
	return compare.WriteText(c.App.Writer, what, rows)
}

// fitCommand says how several towers would take one score.
func fitCommand() *cli.Command {
	return &cli.Command{
		Name:      "fit",
		Usage:     "tell how several towers would take a score, and what it costs",
		ArgsUsage: "SCORE",
		Description: "Voices SCORE for each tower, as the flags of voice say, and writes a table: how many sections\n" +
			"would go inverted there, how difficult, clear and blurred it is, which notes move or go, and\n" +
			"whether another key would suit better. It writes no scores.",
		Flags: slices.Concat([]cli.Flag{
			&cli.StringFlag{Name: "towers", Value: "23,35,47,61", Usage: "the `TOWERS` to compare, with commas: names that 'undersong tower' lists, or files"},
		}, wayFlags(), []cli.Flag{
			&cli.BoolFlag{Name: "json", Usage: "print the table as JSON"},
		}, limitFlags()),
		Action: fit,
	}
}

func fit(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	r, err := planOf(c)
	if err != nil {
		return err
	}
	doc, err := readScore(c, in)
	if err != nil {
		return err
	}
	j, err := newJob(c, in, doc)
	if err != nil {
		return err
	}
	a := j.analyse()
	var data []rowData
	for name := range strings.SplitSeq(c.String("towers"), ",") {
		tower, err := loadTower(c, strings.TrimSpace(name))
		if err != nil {
			return err
		}
		row := compare.Voice(tower.Name, a, r.planFor(a, tower), voicing.Options{Tower: tower, Melody: j.rules})
		row.Verdicts = a.Study(tower).Verdicts()
		data = append(data, rowData{Version: 1, File: in, Tower: tower.Name, Row: row})
	}
	if !c.Bool("json") {
		way := r.name
		if r.auto {
			way = auto
		}
		fmt.Fprintf(c.App.Writer, "%s, %s\n", stem(in), way)
	}
	return printRows(c, "tower", data)
}
