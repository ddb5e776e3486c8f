package main

import (
	"fmt"
	"io"
	"strings"

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
			"its keys: a phrase that does not fit goes to the nearest octave that has all of it, and\n" +
			"everything else stays as it is. What moved, and what cannot be played then, is listed on\n" +
			"standard error.",
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
	tower, err := loadTower(c.String("tower"), c.App.Reader)
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
	write := scoreWriter(out, doc, result)
	if out == "-" {
		err = write(c.App.Writer)
	} else {
		err = writeAll([]outFile{{out, write}}, c.Bool("force"))
	}
	switch {
	case err != nil:
		return err
	case c.Bool("json"):
		return printJSON(c.App.Writer, report)
	}
	return tellRefit(c.App.ErrWriter, report, out)
}

func tellRefit(w io.Writer, r *refit.Report, out string) error {
	var b strings.Builder
	for _, change := range r.Moved {
		fmt.Fprintf(&b, "%s\n", change)
	}
	for _, f := range r.Unplayable {
		fmt.Fprintf(&b, "%s: %s\n", f.Place, f.Text)
	}
	gone, alone := refit.Worst(r.Moved)
	fmt.Fprintf(&b, "%d notes moved, %d of them by themselves, and %d left out; %d strokes cannot be played\nwritten: %s\n",
		len(r.Moved)-gone, alone, gone, len(r.Unplayable), out)
	_, err := io.WriteString(w, b.String())
	return err
}
