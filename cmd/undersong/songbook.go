package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"slices"
	"time"

	"github.com/urfave/cli/v2"

	"undersong/cmd/undersong/internal/batch"
	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/melody"
	web "undersong/voicing/page"
	"undersong/voicing/songbook"
)

// songbookCommand voices all scores of a folder.
func songbookCommand() *cli.Command {
	return &cli.Command{
		Name:      "songbook",
		Usage:     "voice every score of a folder, each on its own, with a summary",
		ArgsUsage: "FOLDER|LIST|-",
		Description: "Voices every .musicxml, .xml and .mxl file under FOLDER, at any depth, or those that the file\n" +
			"LIST or standard input names, one a line, as the flags of voice say, and keeps the tree in\n" +
			"the folder of -o. A score that fails is a row of the summary and stops nothing. The summary is\n" +
			"on standard output and in songbook.json, .csv and .html in that folder; what needs a person's\n" +
			"eye stands first.",
		Flags: slices.Concat(workerFlags(), []cli.Flag{
			&cli.IntFlag{Name: "jobs", Value: runtime.NumCPU(), Usage: "work on `N` scores at once"},
			jsonSummaryFlag(),
			forceFlag(),
		}),
		Action: runSongbook,
		Subcommands: []*cli.Command{{
			Name:      "merge",
			Usage:     "put the summaries of all shards together",
			ArgsUsage: "SUMMARY...",
			Flags:     []cli.Flag{&cli.StringFlag{Name: "o", Usage: "the `FOLDER` to write the whole summary to, such as that of the results"}, jsonSummaryFlag()},
			Action:    mergeSongbook,
		}},
	}
}

// workerFlags are those that also a worker needs.
func workerFlags() []cli.Flag {
	return slices.Concat(songFlags(), []cli.Flag{
		resultsFlag(),
		&cli.StringFlag{Name: "shard", Usage: "work only on the `K/N`th part of the scores; 'songbook merge' puts the summaries together"},
		&cli.BoolFlag{Name: "resume", Usage: "leave out what is there already of the same score, options and program"},
		&cli.BoolFlag{Name: "pages", Usage: "also write a page about each result, beside it: song.musicxml.html"},
		&cli.BoolFlag{Name: "reports", Usage: "also write the report of each result as JSON, beside it: song.musicxml.json"},
		&cli.DurationFlag{Name: "time-limit", Value: 5 * time.Minute, Usage: "give up a score that takes longer than `TIME`, such as 90s or 5m; 0 for no limit"},
		&cli.Int64Flag{Name: "memory-limit", Value: 4096, Usage: "give up a score that takes more than so many `MB`; 0 for no limit"},
		&cli.BoolFlag{Name: "worker", Hidden: true},
	}, limitFlags())
}

// songFlags are those that decide what becomes of a score.
func songFlags() []cli.Flag {
	return slices.Concat([]cli.Flag{
		&cli.StringSliceFlag{Name: "tower", Value: cli.NewStringSlice(instrument.Default), Usage: "the `TOWER` to voice for: a name that 'undersong tower' lists, or a file; given several times, each has a folder of its own"},
		&cli.StringFlag{Name: "plan-dir", Usage: "voice song.mxl as song.yaml in `FOLDER` says, where that is there; the tree is the same"},
	}, wayFlags())
}

func resultsFlag() cli.Flag {
	return &cli.StringFlag{Name: "o", Usage: "the `FOLDER` to write to; it must not lie in the one that is read"}
}

func jsonSummaryFlag() cli.Flag {
	return &cli.BoolFlag{Name: "json", Usage: "print the summary as JSON"}
}

// given is a command line of those of the flags that are given.
func given(c *cli.Context, flags []cli.Flag) []string {
	args := []string{}
	for _, f := range flags {
		name := f.Names()[0]
		switch values, many := c.Value(name).(cli.StringSlice); {
		case many && c.IsSet(name):
			for _, v := range values.Value() {
				args = append(args, "--"+name+"="+v)
			}
		case c.IsSet(name):
			args = append(args, fmt.Sprintf("--%s=%v", name, c.Value(name)))
		}
	}
	return args
}

func runSongbook(c *cli.Context) error {
	if c.Bool("worker") {
		return serveSongbook(c)
	}
	err := makeSongbook(c)
	if errors.Is(err, context.Canceled) {
		return cli.Exit(interrupted, exitInterrupted)
	}
	return err
}

func makeSongbook(c *cli.Context) error {
	if err := checkSongbook(c); err != nil {
		return err
	}
	towers, err := towersOf(c)
	if err != nil {
		return err
	}
	shard, err := shardOf(c)
	if err != nil {
		return err
	}
	list, err := await(c.Context, func() (scoreList, error) { return scoresIn(c) })
	if err != nil {
		return err
	}
	if err := tellIdlePlans(c, list.files); err != nil {
		return err
	}
	batch.Guard(list.files, c.String("o"), namesOf(towers))
	list.files = slices.DeleteFunc(list.files, func(f batch.File) bool { return !shard.Has(f.Name) })
	store, err := openStore(c, shard)
	if err != nil {
		return err
	}
	defer store.Close()
	defer store.Tidy()
	return voiceAll(c, store, list, towers, shard)
}

// checkSongbook refuses wrong use before any work.
func checkSongbook(c *cli.Context) error {
	switch {
	case c.NArg() != 1:
		return usage("songbook needs one folder: undersong songbook FOLDER -o OUT")
	case c.String("o") == "":
		return usage("songbook needs a folder to write to: -o OUT")
	case c.Int("jobs") < 1:
		return usage("--jobs %d: at least one", c.Int("jobs"))
	case c.Duration("time-limit") < 0 || c.Int64("memory-limit") < 0:
		return usage("--time-limit and --memory-limit cannot be less than 0, which is no limit")
	}
	for _, text := range c.StringSlice("melody") {
		if _, err := melody.ParseOverrule(text); err != nil {
			return usage("--melody: %v", err)
		}
	}
	if _, err := limitsOf(c); err != nil {
		return err
	}
	_, err := planOf(c)
	return err
}

// openStore opens the folder of results for this run alone.
func openStore(c *cli.Context, shard songbook.Shard) (*batch.Store, error) {
	out := c.String("o")
	store, err := batch.OpenStore(out, shard)
	if err != nil {
		return nil, err
	}
	if store.Used() && !c.Bool("resume") && !c.Bool("force") {
		err = fmt.Errorf("%s has a songbook already: --resume adds to it and keeps what is done, --force makes all of it anew", out)
	} else {
		err = freeSummary(store, &songbook.Summary{Shard: shard.String()}, replaceOf(c)) // before the work, and again after it
	}
	if err == nil {
		err = store.Lock()
	}
	if err != nil {
		store.Close()
		return nil, err
	}
	return store, nil
}

// voiceAll has the scores voiced and sums up.
func voiceAll(c *cli.Context, store *batch.Store, list scoreList, towers []songTower, shard songbook.Shard) error {
	self, err := os.Executable()
	if err != nil {
		return fmt.Errorf("this program cannot be started again for its workers: %w", err)
	}
	progress := batch.NewProgress(c.App.ErrWriter, isTerminal(c.App.ErrWriter), len(list.files)*len(towers))
	run := &batch.Run{
		Store: store, Towers: namesOf(towers), Jobs: c.Int("jobs"), Replace: replaceOf(c), Progress: progress.Row,
		Command: append([]string{self, "songbook", "--worker"}, given(c, workerFlags())...),
	}
	rows, kept, replaced := run.Do(c.Context, list.files)
	progress.End()
	if c.Context.Err() != nil {
		failed := 0
		for i := range rows {
			if rows[i].Error != "" {
				failed++
			}
		}
		return cli.Exit(fmt.Sprintf("interrupted: %d of %d are done and whole, %d failed, nothing else is left; the same command with --resume goes on from here",
			len(rows)-failed, len(list.files)*len(towers), failed), exitInterrupted)
	}
	if kept > 0 {
		fmt.Fprintf(c.App.ErrWriter, "%d of %d were there already\n", kept, len(rows))
	}
	if replaced > 0 && !c.Bool("force") {
		fmt.Fprintf(c.App.ErrWriter, "%d of %d took the place of what an earlier run made of another score, plan or tower, with other options or another program\n", replaced, len(rows))
	}
	summary := songbook.New(rows, given(c, songFlags()))
	summary.Shard, summary.Program, summary.Source, summary.Closed = shard.String(), version(), c.Args().First(), list.closed
	return summarise(c, store, summary, run.Replace)
}

// replaceOf is what the flags let be replaced.
func replaceOf(c *cli.Context) batch.Replace {
	switch {
	case c.Bool("force"):
		return batch.ReplaceAll
	case c.Bool("resume"):
		return batch.ReplaceOurs
	}
	return batch.ReplaceNone
}

// summarise writes the summary and prints it, also where it cannot be written.
func summarise(c *cli.Context, store *batch.Store, s *songbook.Summary, replace batch.Replace) error {
	errs := []error{writeSummary(store, s, replace)}
	write := s.WriteText
	if c.Bool("json") {
		write = func(w io.Writer) error { return printJSON(w, s) }
	}
	if err := write(c.App.Writer); err != nil {
		errs = append(errs, fmt.Errorf("the summary cannot be printed: %w; the results in %s are whole", cause(err), c.String("o")))
	}
	if s.Failed > 0 {
		errs = append(errs, fmt.Errorf("%d of %d scores failed: see the first rows", s.Failed, s.Scores))
	}
	if len(s.Closed) > 0 {
		errs = append(errs, fmt.Errorf("%s cannot be read: see the first line", score.Count(len(s.Closed), "folder")))
	}
	return errors.Join(errs...)
}

// summaryFiles are those of a summary, of that of a shard as data only.
func summaryFiles(s *songbook.Summary) []outFile {
	shard, _ := songbook.ParseShard(s.Shard) // none of a whole
	name := "songbook" + shard.Suffix()
	files := []outFile{{name + ".json", func(w io.Writer) error { return printJSON(w, s) }}}
	if s.Shard == "" {
		page := web.Songbook{Summary: s}
		files = append(files, outFile{name + ".csv", s.WriteCSV}, outFile{name + ".html", page.Write})
	}
	return files
}

// freeSummary tells why the files of a summary may not be written.
func freeSummary(store *batch.Store, s *songbook.Summary, replace batch.Replace) error {
	for _, f := range summaryFiles(s) {
		if err := store.Free(f.path, replace); err != nil {
			return err
		}
	}
	return nil
}

// writeSummary writes the files of a summary, or none where one may not be replaced.
func writeSummary(store *batch.Store, s *songbook.Summary, replace batch.Replace) error {
	if err := freeSummary(store, s, replace); err != nil {
		return err
	}
	for _, f := range summaryFiles(s) {
		if err := store.WriteFile(f.path, f.write); err != nil {
			return fmt.Errorf("%w; when that is mended, the same command with --resume writes it", err)
		}
	}
	return nil
}

// mergeSongbook puts the summaries of shards together.
func mergeSongbook(c *cli.Context) error {
	out := c.String("o")
	if c.NArg() == 0 || out == "" {
		return usage("merge needs the summaries of all shards and a folder: undersong songbook merge OUT/songbook-*-of-*.json -o OUT")
	}
	var shards []*songbook.Summary
	for _, name := range c.Args().Slice() {
		s, err := await(c.Context, func() (*songbook.Summary, error) { return readShard(name) })
		if err != nil {
			return err
		}
		shards = append(shards, s)
	}
	s, err := songbook.Merge(shards)
	if err != nil {
		return err
	}
	store, err := batch.OpenStore(out, songbook.Shard{})
	if err != nil {
		return err
	}
	defer store.Close()
	if err := store.Lock(); err != nil {
		return err
	}
	defer store.Tidy()
	return summarise(c, store, s, batch.ReplaceOurs)
}

// readShard reads the summary of a shard.
func readShard(name string) (*songbook.Summary, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, cause(err))
	}
	defer f.Close()
	s, err := songbook.Read(f, name)
	if err == nil && s.Shard == "" {
		err = fmt.Errorf("%s: it is the summary of a whole songbook: merge those of its shards, such as songbook-1-of-4.json", name)
	}
	return s, err
}
