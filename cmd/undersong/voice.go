package main

import (
	"fmt"
	"io"
	"slices"

	"github.com/urfave/cli/v2"

	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/lead"
)

// voiceCommand re-voices one score.
func voiceCommand() *cli.Command {
	return &cli.Command{
		Name:      "voice",
		Usage:     "turn a piano score or lead sheet into a carillon score",
		ArgsUsage: "SCORE",
		Description: "Reads SCORE (.musicxml, .xml or .mxl, by content; - for standard input), finds the melody\n" +
			"and writes a carillon score. inverted: the melody in the pedals, everything else above it.\n" +
			"plain: the melody on top, the bass in the pedals. What was moved, thinned and left out is\n" +
			"reported on standard error.",
		Flags: slices.Concat([]cli.Flag{towerFlag("to voice for")}, wayFlags(), []cli.Flag{
			&cli.StringFlag{Name: "o", Usage: "write the score to `OUT` (.musicxml, .xml or .mxl; - for standard output); default: the score's name with the voicing added, in this folder"},
			&cli.StringFlag{Name: "report", Usage: "also write the report as JSON to `FILE`"},
			&cli.BoolFlag{Name: "json", Usage: "print the report as JSON on standard output, not as text on standard error"},
			pageFlag(),
			forceFlag(),
		}, engraveFlags(), limitFlags()),
		Action: voice,
	}
}

// wayFlags say how scores are voiced.
func wayFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "voicing", Value: string(voicing.Inverted), Usage: "`VOICING`: inverted, tenor, covered or plain, for what nothing below says otherwise (then: plain); or auto, to follow what study finds"},
		&cli.StringFlag{Name: "plan", Usage: "voice section by section as `FILE` says: see 'undersong plan'"},
		whereFlag("invert", "voice these inverted: `WHERE` is a section's name or measures, such as \"last chorus\" or 33-48,57-64"),
		whereFlag("tenor", "voice these with the melody in the left hand: `WHERE`"),
		whereFlag("cover", "voice these with two close notes over the melody: `WHERE`"),
		whereFlag("plain", "voice these plain: `WHERE`"),
		whereFlag("leave", "leave these as they are written: `WHERE`"),
		melodyFlag(),
		sectionsFlag(),
		&cli.StringFlag{Name: "transpose", Value: "0", Usage: "move all by `N` semitones first, -6 to 6, or auto: to where the melody sits best on this tower"},
		&cli.StringFlag{Name: "figure", Usage: fmt.Sprintf("how the chord symbols of a lead sheet are played: `FIGURE` is one of %v; default: what suits metre and tempo", lead.Figures())},
		&cli.IntFlag{Name: "difficulty", Value: 3, Usage: "`N` from 1, for a slow hand, to 5, for a virtuoso"},
	}
}

func voice(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	p, err := planOf(c)
	if err != nil {
		return err
	}
	to, err := voiceNames(c, in, p.name)
	if err != nil {
		return err
	}
	j, err := load(c, in)
	if err != nil {
		return err
	}
	source, options, err := p.resolve(j)
	if err != nil {
		return fmt.Errorf("%s: %w", in, err)
	}
	result, report, err := voicing.Voice(source, options)
	if err != nil {
		return fmt.Errorf("%s: %w", in, err)
	}
	report.File = in
	found, err := check.Score(result, check.Options{Tower: j.tower, Tune: report.Tune})
	if err != nil {
		return fmt.Errorf("%s: the result cannot be checked: %w", in, err)
	}
	told := toldOf(report, found)
	files := []outFile{{to.score, scoreWriter(to.score, j.doc, result)}}
	if to.report != "" {
		files = append(files, outFile{to.report, func(w io.Writer) error { return printJSON(w, told) }})
	}
	engraved := "" // why it is not
	if to.page != "" {
		page, err := j.voicePage(c, source, result, report, found)
		if err != nil {
			return fmt.Errorf("%s: the result cannot be shown: %w", in, err)
		}
		files = append(files, outFile{to.page, page.Write})
		engraved = page.EngravedNote
	}
	if err := writeAll(c, files...); err != nil {
		return err
	}
	if err := tell(c, told, files); err != nil || engraved == "" {
		return err
	}
	_, err = fmt.Fprintln(c.App.ErrWriter, engraved)
	return err
}

// voiced is the report of a voicing and what the check of the result comes to.
type voiced struct {
	*voicing.Report
	Check struct {
		Difficulty int                    `json:"difficulty"`
		Totals     map[check.Category]int `json:"totals"`
	} `json:"check"`
}

func toldOf(r *voicing.Report, found *check.Report) *voiced {
	told := &voiced{Report: r}
	told.Check.Difficulty, told.Check.Totals = found.Difficulty.Level, found.Totals
	return told
}

// line is the check in one line.
func (v *voiced) line() string {
	text := fmt.Sprintf("check: difficulty %d of 5, asked for %d", v.Check.Difficulty, v.Difficulty)
	where := ""
	for _, category := range check.Categories() {
		if n := v.Check.Totals[category]; n > 0 {
			text += fmt.Sprintf(", %d %s", n, category)
			where = ": 'undersong check' of the result says where"
		}
	}
	return text + where + "\n"
}

// tell prints the report, the check and what was written.
func tell(c *cli.Context, v *voiced, files []outFile) error {
	if c.Bool("json") {
		return printJSON(c.App.Writer, v)
	}
	if err := v.WriteText(c.App.ErrWriter); err != nil {
		return err
	}
	if _, err := io.WriteString(c.App.ErrWriter, v.line()); err != nil {
		return err
	}
	return tellWritten(c, files...)
}

// tellWritten names the files that were written.
func tellWritten(c *cli.Context, files ...outFile) error {
	for _, f := range files {
		if f.path == "-" {
			continue
		}
		if _, err := fmt.Fprintf(c.App.ErrWriter, "written: %s\n", f.path); err != nil {
			return err
		}
	}
	return nil
}

// voiceFiles are the names of what voice writes, "" for none.
type voiceFiles struct{ score, report, page string }

// voiceNames reads them from the flags. It refuses, before any work, what cannot be
// written.
func voiceNames(c *cli.Context, in, name string) (to voiceFiles, err error) {
	if to.score, err = resultName(c, in, name); err != nil {
		return to, err
	}
	to.report = c.String("report")
	switch {
	case to.report == "-":
		return to, usage("--report names a file; --json prints the report on standard output")
	case to.report != "" && sameFile(to.report, to.score):
		return to, usage("-o and --report name the same file %s", to.score)
	}
	if err = newFile(c, in, to.report); err != nil {
		return to, err
	}
	to.page, err = pageName(c, in, to.score, to.report)
	switch {
	case err != nil:
	case c.Bool("engrave") && to.page == "":
		err = usage("--engrave draws into a page: name it with --page")
	case c.IsSet("engrave-with") && !c.Bool("engrave"):
		err = usage("--engrave-with names the folder for --engrave, which is not given")
	}
	return to, err
}
