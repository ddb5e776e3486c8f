package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/musicxml"
	"undersong/voicing/melody"
	"undersong/voicing/study"
)

// towerFlag names the tower, and what it is for.
func towerFlag(purpose string) cli.Flag {
	return &cli.StringFlag{Name: "tower", Value: instrument.Default, Usage: "the `TOWER` " + purpose + ": a name that 'undersong tower' lists, or a file"}
}

// job is what a command works on: a score, for a tower.
type job struct {
	in     string // the score's name as given
	tower  *instrument.Tower
	doc    *musicxml.Document
	rules  []melody.Overrule // where the melody is, as --melody says
	begins []int             // measures in which sections begin, by index, as --sections says

	analysis *study.Analysis // nil before it is asked for
}

// oneScore is the name of the one score that a command takes. It refuses, before
// any work, what cannot be read.
func oneScore(c *cli.Context) (string, error) {
	switch n := c.NArg(); {
	case n > 1:
		return "", usage("%s takes one score, not %d: %s", c.Command.Name, n, strings.Join(c.Args().Slice(), ", "))
	case n < 1:
		return "", usage("%s needs one score: undersong %[1]s %s", c.Command.Name, c.Command.ArgsUsage)
	}
	in := c.Args().First()
	if in == "-" && c.String("tower") == "-" {
		return "", usage("the score and the tower cannot both come from standard input")
	}
	return in, nil
}

// newFile refuses, before any work, a file for results that is what they are
// made from, or that cannot be written. "" and - are no files.
func newFile(c *cli.Context, in, out string) error {
	if out == "" || out == "-" {
		return nil
	}
	for _, source := range []struct{ what, path string }{{"score", in}, {"tower", c.String("tower")}, {"plan", c.String("plan")}} {
		if sameFile(source.path, out) {
			return usage("%s is the %s itself: give another name", out, source.what)
		}
	}
	return writable(out, c.Bool("force"))
}

// studied is the study of the score of a command's job. A file for results that
// cannot be written is refused before.
func studied(c *cli.Context, in, out string) (*job, *study.Study, error) {
	if err := newFile(c, in, out); err != nil {
		return nil, nil, err
	}
	j, err := load(c, in)
	if err != nil {
		return nil, nil, err
	}
	s := j.analyse().Study(j.tower)
	s.File = in
	return j, s, nil
}

// load reads the score and the tower.
func load(c *cli.Context, in string) (*job, error) {
	tower, err := loadTower(c, c.String("tower"))
	if err != nil {
		return nil, err
	}
	doc, err := readScore(c, in)
	if err != nil {
		return nil, err
	}
	j, err := newJob(c, in, doc)
	if err == nil {
		j.tower = tower
	}
	return j, err
}

// newJob is a score with what the flags say of it, without a tower.
func newJob(c *cli.Context, in string, doc *musicxml.Document) (*job, error) {
	j := &job{in: in, doc: doc}
	var err error
	if j.rules, err = overrules(c, in, doc.Score()); err != nil {
		return nil, err
	}
	j.begins, err = sectionsBegin(c, in, doc.Score())
	return j, err
}

func (j *job) score() *score.Score { return j.doc.Score() }

// analyse is the analysis of the score, made once.
func (j *job) analyse() *study.Analysis {
	if j.analysis == nil {
		j.analysis = study.Analyse(j.score(), j.rules, j.begins...)
	}
	return j.analysis
}
