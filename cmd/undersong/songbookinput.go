package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/cmd/undersong/internal/batch"
	"undersong/instrument"
	"undersong/voicing/songbook"
)

func shardOf(c *cli.Context) (songbook.Shard, error) {
	if !c.IsSet("shard") {
		return songbook.Shard{}, nil
	}
	shard, err := songbook.ParseShard(c.String("shard"))
	if err != nil {
		return shard, usage("--shard %v", err)
	}
	return shard, nil
}

// songTower is a tower of a songbook, and the name of its folder.
type songTower struct {
	name string
	*instrument.Tower
	text []byte // of its file, if it has one
}

func towersOf(c *cli.Context) ([]songTower, error) {
	var towers []songTower
	for _, given := range c.StringSlice("tower") {
		if given == "-" {
			return nil, usage("the tower of a songbook is a name or a file")
		}
		tower, err := loadTower(c, given)
		if err != nil {
			return nil, err
		}
		t := songTower{name: given, Tower: tower}
		if !slices.Contains(instrument.Names(), given) {
			t.name = stem(given)
			if t.text, err = readWhole(given, 1<<30); err != nil {
				return nil, fmt.Errorf("%s: %w", given, err)
			}
		}
		for i, other := range c.StringSlice("tower")[:len(towers)] {
			if towers[i].name == t.name {
				return nil, usage("--tower %s and --tower %s: the results for both would be in the folder %s, which is called like the profile or the file, whatever name the file gives: leave one out, or rename its file", other, given, t.name)
			}
		}
		if strings.HasPrefix(t.name, ".") {
			return nil, usage("--tower %s: its folder would be called like the file, but its name cannot begin with a dot: rename the file", given)
		}
		towers = append(towers, t)
	}
	return towers, nil
}

// scoreList is the scores to voice, by name, and the folders that cannot be read.
type scoreList struct {
	files  []batch.File
	closed []string
}

// scoresIn lists the scores to voice.
func scoresIn(c *cli.Context) (l scoreList, err error) {
	in := c.Args().First()
	if in == "-" {
		l.files, err = batch.Paths(c.App.Reader)
		return l, err
	}
	info, err := os.Stat(in)
	if err != nil {
		return l, fmt.Errorf("%s is not there: give a folder, a list of files, or - for standard input", in)
	}
	if !info.IsDir() {
		f, err := os.Open(in)
		if err != nil {
			return l, fmt.Errorf("%s: %w", in, cause(err))
		}
		defer f.Close()
		if slices.Contains(scoreEndings, strings.ToLower(filepath.Ext(in))) {
			return l, usage("%s is one score: 'undersong voice' voices it", in)
		}
		l.files, err = batch.Paths(f)
		return l, err
	}
	if out := c.String("o"); batch.Inside(out, in) {
		return l, usage("%s lies in %s: its results would be read the next time; give another folder", out, in)
	}
	var links int
	l.files, links, l.closed, err = batch.Folder(in, scoreEndings)
	if err == nil && len(l.files) == 0 {
		err = fmt.Errorf("%s has no score: their names end in %s", in, strings.Join(scoreEndings, ", "))
	}
	if links > 0 {
		fmt.Fprintf(c.App.ErrWriter, "links to folders, which are not followed: %d\n", links)
	}
	for _, name := range l.closed {
		fmt.Fprintf(c.App.ErrWriter, "%s: this folder cannot be read: what is in it is left out\n", songbook.Shown(name))
	}
	return l, err
}

func namesOf(towers []songTower) []string {
	var names []string
	for _, t := range towers {
		names = append(names, t.name)
	}
	return names
}

// planName is the file of a score's own plan, under the folder of --plan-dir.
func planName(score string) string {
	return strings.TrimSuffix(score, filepath.Ext(score)) + ".yaml"
}

// tellIdlePlans names the plans of --plan-dir that belong to no score: their names
// are likely wrong.
func tellIdlePlans(c *cli.Context, scores []batch.File) error {
	dir := c.String("plan-dir")
	if dir == "" {
		return nil
	}
	plans, _, _, err := batch.Folder(dir, []string{".yaml", ".yml"})
	if err != nil {
		return fmt.Errorf("--plan-dir %s: %w", dir, cause(err))
	}
	used := map[string]bool{}
	for _, s := range scores {
		used[planName(s.Rel)] = true
	}
	for _, p := range plans {
		if !used[p.Rel] {
			fmt.Fprintf(c.App.ErrWriter, "%s in %s is the plan of no score: that of a/song.mxl is a/song.yaml\n", songbook.Shown(p.Name), dir)
		}
	}
	return nil
}
