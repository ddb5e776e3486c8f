package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"undersong/voicing/refit"
)

// refitCommand moves a carillon score to another tower.
func refitCommand() *cli.Command {
	return &cli.Command{
		Name:      "refit",
		Usage:     "move a carillon score to another tower without arranging it anew",
		ArgsUsage: "SCORE",
		Description: "Reads SCORE, a carillon score on manual and pedals, and writes it for a tower that lacks some of\n" +
			"its keys: a phrase that does not fit goes to the nearest octave that has all of it, what\n" +
			"would then be the wrong way round goes with it, and everything else stays as it is. What\n" +
			"moved, and what cannot be played then, is listed on standard error.",
		Flags: append([]cli.Flag{
			towerFlag("to fit to"),
			&cli.StringFlag{Name: "o", Usage: "write the score to `OUT` (.musicxml, .xml or .mxl; - for standard output); default: the score's name with -refit added, in this folder"},
			&cli.BoolFlag{Name: "json", Usage: "print what moved as JSON on standard output instead"},
			forceFlag(),
		}, limitFlags()...),
		Action: runRefit,
	}
}

func runRefit(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	out, err := resultName(c, in, "refit")
	if err != nil {
		return err
	}
	tower, err := loadTower(c, c.String("tower"))
	if err != nil {
		return err
	}
	doc, err := readScore(c, in)
	if err != nil {
		return err
	}
	result, report, err := refit.Score(doc.Score(), tower)
	if err != nil {
		return fmt.Errorf("%s: %w", in, err)
	}
	file := outFile{out, scoreWriter(out, doc, result)}
	if err := writeAll(c, file); err != nil {
		return err
	}
	if c.Bool("json") {
		return printJSON(c.App.Writer, refitted{report, in, tower.Name, out})
	}
	if err := report.WriteText(c.App.ErrWriter); err != nil {
		return err
	}
	return tellWritten(c, file)
}

// refitted is the report as data, with what it is about. Its fields are stable.
type refitted struct {
	*refit.Report
	File  string `json:"file"`
	Tower string `json:"tower"`
	Out   string `json:"out"` // the file written
}
