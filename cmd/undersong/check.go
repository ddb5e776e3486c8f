package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/voicing/check"
)

// checkCommand tells what a tower and its player cannot do of a carillon
// score.
func checkCommand() *cli.Command {
	return &cli.Command{
		Name:      "check",
		Usage:     "tell what of a carillon score cannot be played, or will sound poor, on a tower",
		ArgsUsage: "SCORE",
		Description: "Reads SCORE, any carillon score, and tells by measure which notes have no key, what hands and\n" +
			"feet cannot play, which bells are struck too fast, and where it is too dense, blurred, out of\n" +
			"balance or has low major thirds. The lowest staff is for the pedals if it is in the bass clef, or\n" +
			"those of parts named after pedals; a staff alone is for the manual.",
		Flags: append([]cli.Flag{
			towerFlag("to check for"),
			melodyFlag(),
			&cli.StringFlag{Name: "fail-on", Usage: "exit with 1 if there are findings of these `CATEGORIES`: " + categoryNames() + ", or all; several with commas"},
			&cli.StringFlag{Name: "json", Usage: "write it all as JSON to `FILE` instead; - for standard output"},
			forceFlag(),
		}, limitFlags()...),
		Action: runCheck,
	}
}

func categoryNames() string {
	var all []string
	for _, c := range check.Categories() {
		all = append(all, string(c))
	}
	return strings.Join(all, ", ")
}

// failOn reads the categories that make the command fail.
func failOn(text string) ([]check.Category, error) {
	if text == "" {
		return nil, nil
	}
	var all []check.Category
	for name := range strings.SplitSeq(text, ",") {
		c := check.Category(strings.TrimSpace(name))
		switch {
		case c == "all":
			all = append(all, check.Categories()...)
		case slices.Contains(check.Categories(), c):
			all = append(all, c)
		default:
			return nil, usage("--fail-on: no category %q: there are %s, and all", c, categoryNames())
		}
	}
	return all, nil
}

func runCheck(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	fatal, err := failOn(c.String("fail-on"))
	if err != nil {
		return err
	}
	if err := newFile(c, in, c.String("json")); err != nil {
		return err
	}
	report, err := checkScore(c, in)
	if err != nil {
		return err
	}
	if err := writeAll(c, findings(c, report.WriteText, report)); err != nil {
		return err
	}
	return failed(in, report, fatal)
}

func checkScore(c *cli.Context, in string) (*check.Report, error) {
	j, err := load(c, in)
	if err != nil {
		return nil, err
	}
	report, err := check.Score(j.score(), check.Options{Tower: j.tower, Melody: j.rules})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", in, err)
	}
	report.File = in
	return report, nil
}

// failed is an error that counts the findings asked for, if there are any.
func failed(in string, report *check.Report, fatal []check.Category) error {
	var found []string
	for _, category := range check.Categories() {
		if n := report.Totals[category]; n > 0 && slices.Contains(fatal, category) {
			found = append(found, fmt.Sprintf("%d %s", n, category))
		}
	}
	if len(found) == 0 {
		return nil
	}
	return fmt.Errorf("%s: findings of --fail-on: %s", in, strings.Join(found, ", "))
}
