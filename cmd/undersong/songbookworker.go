package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"undersong/cmd/undersong/internal/batch"
	"undersong/score/musicxml"
	"undersong/voicing"
	"undersong/voicing/compare"
	"undersong/voicing/plan"
	"undersong/voicing/songbook"
)

// songWorker voices one score of a songbook after another.
type songWorker struct {
	c      *cli.Context
	store  *batch.Store
	towers []songTower
	key    string // what all results depend on
	limits musicxml.Limits
}

// serveSongbook is a worker of a songbook.
func serveSongbook(c *cli.Context) error {
	w := &songWorker{c: c}
	shard, err := shardOf(c)
	if err == nil {
		w.store, err = batch.OpenStore(c.String("o"), shard)
	}
	if err == nil {
		w.towers, err = towersOf(c)
	}
	if err == nil {
		w.limits, err = limitsOf(c)
	}
	if err == nil {
		w.key, err = keyOf(c)
	}
	if err != nil {
		return err
	}
	limits := batch.Limits{Time: c.Duration("time-limit"), Memory: c.Int64("memory-limit") << 20}
	return batch.Serve(c.App.Reader, c.App.Writer, limits, w.work)
}

// keyOf names the options and the program.
func keyOf(c *cli.Context) (string, error) {
	key := strings.Join(given(c, wayFlags()), "\n")
	if file := c.String("plan"); file != "" {
		text, err := os.ReadFile(file)
		if err != nil {
			return "", fmt.Errorf("%s: %w", file, cause(err))
		}
		key += string(text)
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		key += info.String()
	}
	return key, nil
}

// song is a score that is being voiced: its file, read once, and what is found
// in it, once it is needed.
type song struct {
	name       string
	text, plan []byte
	way        *request
	*job
}

// work voices a score for every tower.
func (w *songWorker) work(r batch.Request, answer func(batch.Answer)) {
	s, err := w.read(r)
	for _, result := range r.Results {
		var a batch.Answer
		errNow := err
		if errNow == nil {
			a, errNow = w.voice(s, result)
		}
		if errNow != nil {
			why := strings.TrimPrefix(errNow.Error(), r.Name)
			a.Row = batch.Failed(r.Name, "", strings.TrimLeft(why, ":, "))
		}
		answer(a)
	}
}

// read reads the file of a score and that of its own plan, if it has one.
func (w *songWorker) read(r batch.Request) (*song, error) {
	s := &song{name: r.Name}
	var err error
	if s.text, err = readWhole(string(r.Path), w.limits.Bytes); err != nil {
		return nil, err
	}
	if dir := w.c.String("plan-dir"); dir != "" {
		rel := string(r.Rel)
		file := filepath.Join(dir, strings.TrimSuffix(rel, filepath.Ext(rel))+".yaml")
		s.plan, err = readWhole(file, mostPlan)
		if errors.Is(err, fs.ErrNotExist) {
			err = nil
		}
		if err == nil && s.plan != nil {
			s.way, err = w.ownPlan(s.plan, file)
		}
	}
	return s, err
}

// mostPlan is how many bytes a plan may have.
const mostPlan = 1 << 20

func (w *songWorker) ownPlan(text []byte, file string) (*request, error) {
	p, err := plan.Read(bytes.NewReader(text), batch.Shown(file))
	if err != nil {
		return nil, err
	}
	return planWith(w.c, p)
}

// voice voices a score for one tower, unless that is done.
func (w *songWorker) voice(s *song, r batch.Result) (a batch.Answer, err error) {
	start, out, tower := time.Now(), string(r.Out), w.towers[r.Tower]
	a.Hash = hashOf([]byte(w.key), tower.text, []byte(tower.name), s.plan, s.text)
	if w.c.Bool("resume") {
		if a.Row, a.Kept = w.store.Done(out, a.Hash); a.Kept {
			return a, nil
		}
	}
	if s.job == nil {
		if err := w.open(s); err != nil {
			return a, err
		}
	}
	analysis := s.analyse()
	row := compare.Voice(s.name, analysis, s.way.planFor(analysis, tower.Tower), voicing.Options{Tower: tower.Tower, Melody: s.rules, Figure: s.way.lead})
	if row.Error != "" {
		return a, errors.New(row.Error)
	}
	if a.Sum, err = w.store.Write(r.Temp, scoreWriter(out, s.doc, row.Result)); err != nil {
		return a, fmt.Errorf("the result cannot be written: %w", cause(err))
	}
	a.Row = songbook.Of(analysis.Study(tower.Tower), row)
	a.Row.Out = filepath.ToSlash(batch.Shown(out))
	a.Row.Seconds = time.Since(start).Seconds()
	return a, nil
}

// open reads the score.
func (w *songWorker) open(s *song) (err error) {
	if s.way == nil {
		if s.way, err = planOf(w.c); err != nil {
			return err
		}
	}
	doc, err := musicxml.Read(bytes.NewReader(s.text), s.name, w.limits)
	if err != nil {
		return err
	}
	rules, err := overrules(w.c, s.name, doc.Score())
	if err != nil {
		return err
	}
	s.job = &job{in: s.name, doc: doc, rules: rules}
	return nil
}

func hashOf(parts ...[]byte) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d\n%s", len(p), p)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// readWhole reads a file whole, if it is one and no larger than most bytes.
func readWhole(name string, most int64) ([]byte, error) {
	before, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, cause(err)
	case !before.Mode().IsRegular():
		return nil, errors.New("it is not a file")
	case before.Size() > most:
		return nil, fmt.Errorf("it has %d bytes, more than the limit of %d", before.Size(), most)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, cause(err)
	}
	defer f.Close()
	var text bytes.Buffer
	text.Grow(int(before.Size()) + bytes.MinRead)
	if _, err := text.ReadFrom(io.LimitReader(f, most+1)); err != nil {
		return nil, cause(err)
	}
	after, err := os.Stat(name)
	if err != nil || after.Size() != int64(text.Len()) || !after.ModTime().Equal(before.ModTime()) {
		return nil, errors.New("it changed while it was read: --resume tries it again")
	}
	return text.Bytes(), nil
}
