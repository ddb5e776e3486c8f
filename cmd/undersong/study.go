package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/score"
	"undersong/voicing/melody"
	web "undersong/voicing/page"
)

// studyCommand says what there is to know about a score.
func studyCommand() *cli.Command {
	return &cli.Command{
		Name:      "study",
		Usage:     "tell a score's melody, sections, harmony and texture, and what would go inverted",
		ArgsUsage: "SCORE",
		Description: "Reads SCORE as voice does and writes nothing but what it found: what is likely wrong in the\n" +
			"file, such as measures that do not fit their time signature, key and tempo, where the\n" +
			"melody is and how sure that is, the sections, and for each whether the melody would go in the\n" +
			"pedals of this tower, with the reasons in numbers.",
		Flags: append([]cli.Flag{
			towerFlag("to judge for"),
			melodyFlag(),
			sectionsFlag(),
			&cli.StringFlag{Name: "json", Usage: "write it all as JSON to `FILE` instead; - for standard output"},
			pageFlag(),
			forceFlag(),
		}, limitFlags()...),
		Action: runStudy,
	}
}

// melodyFlag says where the melody is.
func melodyFlag() cli.Flag {
	return &cli.StringSliceFlag{Name: "melody", Usage: "where the melody is: `WHERE` is part=NAME, staff=N, voice=N, measures=FIRST-LAST, one or more with commas: the top line of that; or none,measures=FIRST-LAST. May be given again for other measures"}
}

// overrules reads the melody flags for a score.
func overrules(c *cli.Context, in string, s *score.Score) ([]melody.Overrule, error) {
	texts := c.StringSlice("melody")
	if len(texts) == 0 {
		return nil, nil
	}
	var all []melody.Overrule
	tones := s.Tones()
	for _, text := range texts {
		o, err := melody.ParseOverrule(text)
		if err != nil {
			return nil, usage("--melody: %v", err)
		}
		if err := o.Check(s, tones); err != nil {
			return nil, fmt.Errorf("%s: --melody: %w", in, err)
		}
		all = append(all, o)
	}
	return all, nil
}

// sectionsFlag says where sections begin.
func sectionsFlag() cli.Flag {
	return &cli.StringFlag{Name: "sections", Usage: "sections begin in these `MEASURES`, such as 1,10,18, and in no others"}
}

// sectionsBegin are the measures of that flag, as indexes.
func sectionsBegin(c *cli.Context, in string, s *score.Score) (begins []int, err error) {
	if !c.IsSet("sections") {
		return nil, nil
	}
	numbers := s.MeasureNumbers()
	for number := range strings.SplitSeq(c.String("sections"), ",") {
		i := slices.Index(numbers, strings.TrimSpace(number))
		if i < 0 {
			return nil, fmt.Errorf("%s: --sections: there is no measure %q: give printed numbers with commas between them, such as 1,10,18", in, number)
		}
		begins = append(begins, i)
	}
	return begins, nil
}

func runStudy(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	out := c.String("json")
	pageTo, err := pageName(c, in, out)
	if err != nil {
		return err
	}
	j, s, err := studied(c, in, out)
	if err != nil {
		return err
	}
	var files []outFile
	if pageTo != "" {
		page := &web.Study{Analysis: j.analyse(), Tower: j.tower, File: filepath.Base(in)}
		files = append(files, outFile{pageTo, page.Write})
	}
	return writeAll(c, append(files, findings(c, s.WriteText, s))...)
}
