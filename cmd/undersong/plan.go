package main

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"

	"github.com/urfave/cli/v2"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/lead"
	"undersong/voicing/plan"
	"undersong/voicing/study"
)

// planCommand writes a plan to start from.
func planCommand() *cli.Command {
	return &cli.Command{
		Name:      "plan",
		Usage:     "write a plan of which section is voiced how, to change and give to voice",
		ArgsUsage: "SCORE",
		Description: "Studies SCORE and writes a plan that follows what it finds: plain first, inverted in the\n" +
			"bridge and for the last chorus where that would go on this tower. Change it as you like and\n" +
			"give it to 'undersong voice --plan'.",
		Flags: append([]cli.Flag{
			towerFlag("to plan for"),
			melodyFlag(),
			sectionsFlag(),
			&cli.StringFlag{Name: "o", Value: "-", Usage: "write the plan to `FILE`; - for standard output"},
			&cli.BoolFlag{Name: "json", Usage: "write the plan as JSON, for other programs"},
			forceFlag(),
		}, limitFlags()...),
		Action: writePlan,
	}
}

func writePlan(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	_, s, err := studied(c, in, out)
	if err != nil {
		return err
	}
	p := plan.Auto(s)
	write := func(w io.Writer) error {
		if said := saidOf(c); said != "" {
			if _, err := fmt.Fprintf(w, "# Made with%s: give voice the same.\n", said); err != nil {
				return err
			}
		}
		return p.Write(w, s)
	}
	if c.Bool("json") {
		write = func(w io.Writer) error { return printJSON(w, p) }
	}
	return writeAll(c, outFile{out, write})
}

// saidOf are the flags by which a study found other sections or another melody.
func saidOf(c *cli.Context) (said string) {
	for _, where := range c.StringSlice("melody") {
		said += " --melody " + where
	}
	if c.IsSet("sections") {
		said += " --sections " + c.String("sections")
	}
	return said
}

// whereFlag is a short form of a plan.
func whereFlag(name, help string) cli.Flag {
	return &cli.StringSliceFlag{Name: name, Usage: help}
}

// shortForms are the flags that add to a plan, the later ones winning, and
// the voicings they stand for.
var shortForms = []struct {
	flag    string
	voicing voicing.Voicing
}{
	{"invert", voicing.Inverted}, {"tenor", voicing.Tenor}, {"cover", voicing.Covered},
	{"plain", voicing.Plain}, {"leave", voicing.AsWritten},
}

// auto as a voicing follows what a study finds.
const auto = "auto"

// request is how the flags of voice want a score voiced.
type request struct {
	plan *plan.Plan
	auto bool   // the plan is still to be made by a study
	name string // what the result is called, added to the score's name
}

// planOf reads the flags that say which section is voiced how.
func planOf(c *cli.Context) (*request, error) {
	file := c.String("plan")
	switch {
	case file == "":
		return planWith(c, nil)
	case c.IsSet("voicing"):
		return nil, usage("--plan and --voicing both say how sections are voiced: give one of them")
	}
	p, err := await(c.Context, func() (*plan.Plan, error) { return readPlan(file) })
	if err != nil {
		return nil, err
	}
	return planWith(c, p)
}

// planWith is a plan, nil of none, with what the flags add to it.
func planWith(c *cli.Context, p *plan.Plan) (*request, error) {
	r := &request{plan: p, name: "planned"}
	base := c.String("voicing")
	if base != auto && !slices.Contains(voicing.Voicings(), voicing.Voicing(base)) {
		return nil, usage("no voicing %q: there are inverted, tenor, covered, plain and auto", base)
	}
	if p == nil {
		r.auto = base == auto
		r.plan = &plan.Plan{Voicing: voicing.Voicing(base)}
	}
	if err := addShortForms(c, r.plan); err != nil {
		return nil, err
	}
	if err := readSettings(c, r.plan); err != nil {
		return nil, err
	}
	if len(r.plan.Items) > 0 && p == nil && !c.IsSet("voicing") {
		r.plan.Voicing = voicing.Plain
	}
	if len(r.plan.Items) == 0 && !r.auto && p == nil {
		r.name = base
	}
	return r, nil
}

func addShortForms(c *cli.Context, p *plan.Plan) error {
	for _, s := range shortForms {
		for _, list := range c.StringSlice(s.flag) {
			if err := p.Add(s.voicing, list); err != nil {
				return usage("--%s: %v", s.flag, err)
			}
		}
	}
	return nil
}

// readSettings reads the flags for key, difficulty and figure, which win over the
// plan's own.
func readSettings(c *cli.Context, p *plan.Plan) error {
	if c.IsSet("transpose") {
		text := c.String("transpose")
		n, err := strconv.Atoi(text)
		switch {
		case text == auto:
			n = voicing.TransposeAuto
		case err != nil || n < -6 || n > 6:
			return usage("--transpose %q: it is a number of semitones from -6 to 6, or auto", text)
		}
		p.Transpose = n
	}
	if c.IsSet("difficulty") {
		if p.Difficulty = c.Int("difficulty"); p.Difficulty < 1 || p.Difficulty > 5 {
			return usage("--difficulty %d: it goes from 1 to 5", p.Difficulty)
		}
	}
	if c.IsSet("figure") {
		if p.Figure = lead.Figure(c.String("figure")); !slices.Contains(lead.Figures(), p.Figure) {
			return usage("no figure %q: there are %v", p.Figure, lead.Figures())
		}
	}
	return nil
}

func readPlan(path string) (*plan.Plan, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, cause(err))
	}
	defer f.Close()
	return plan.Read(f, path)
}

// planFor is the plan for one score on a tower: where it follows the study, what
// the flags say wins.
func (r *request) planFor(a *study.Analysis, tower *instrument.Tower) *plan.Plan {
	if !r.auto {
		return r.plan
	}
	p := plan.Auto(a.Study(tower))
	p.Items = append(p.Items, r.plan.Items...)
	p.Transpose, p.Difficulty, p.Figure = r.plan.Transpose, cmp.Or(r.plan.Difficulty, p.Difficulty), r.plan.Figure
	return p
}

// resolve is the score to voice and how.
func (r *request) resolve(j *job) (*score.Score, voicing.Options, error) {
	a := &study.Analysis{Score: j.score()} // all that a plan without places needs
	if r.auto || len(r.plan.Items) > 0 {
		a = j.analyse()
	}
	s, options, err := r.planFor(a, j.tower).Resolve(a)
	options.Tower, options.Melody = j.tower, j.rules
	return s, options, err
}
