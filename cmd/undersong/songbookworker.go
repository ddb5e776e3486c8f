package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"undersong/cmd/undersong/internal/batch"
	"undersong/score/musicxml"
	"undersong/voicing"
	"undersong/voicing/compare"
	"undersong/voicing/songbook"
)

// songWorker voices one score of a songbook after another.
type songWorker struct {
	c       *cli.Context
	store   *batch.Store
	towers  []songTower
	way     *request // of scores without a plan of their own
	limits  musicxml.Limits
	program string // the sum of its file
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
		w.way, err = planOf(c)
	}
	if err == nil {
		w.program, err = programSum()
	}
	if err != nil {
		return err
	}
	w.way.plan.Optional(0) // not every song has a last chorus
	limits := batch.Limits{Time: c.Duration("time-limit"), Memory: c.Int64("memory-limit") << 20}
	return batch.Serve(c.App.Reader, c.App.Writer, limits, w.work)
}

// programSum is the sum of this program's file: its version may be that of other
// sources too, where it was built of changed ones or without their revision.
func programSum() (string, error) {
	self, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(self)
	if err != nil {
		return "", err
	}
	defer f.Close()
	return batch.Sum(f)
}

// song is a score that is being voiced: its file, read once, and what is found
// in it, once it is needed.
type song struct {
	name string
	text []byte // nil once it is parsed
	sum  [sha256.Size]byte
	way  *request
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
			a = batch.Answer{Note: batch.Note{Row: batch.Failed(r.Name, "", strings.TrimLeft(why, ":, "))}}
		}
		answer(a)
	}
}

// read reads the file of a score and that of its own plan, if it has one.
func (w *songWorker) read(r batch.Request) (*song, error) {
	s := &song{name: r.Name, way: w.way}
	var err error
	if s.text, err = readWhole(string(r.Path), w.limits.Bytes); err != nil {
		return nil, err
	}
	s.sum = sha256.Sum256(s.text)
	collectFor(s.name, int64(len(s.text)))
	if dir := w.c.String("plan-dir"); dir != "" {
		p, err := readPlan(filepath.Join(dir, planName(string(r.Rel))))
		if errors.Is(err, fs.ErrNotExist) {
			return s, nil
		}
		if err == nil {
			own := len(p.Items)
			if s.way, err = planWith(w.c, p); err == nil {
				p.Optional(own)
			}
		}
		return s, err
	}
	return s, nil
}

// voice voices a score for one tower, unless that is done.
func (w *songWorker) voice(s *song, r batch.Result) (a batch.Answer, err error) {
	start, out, tower := time.Now(), string(r.Out), w.towers[r.Tower]
	beside := w.beside(out)
	if a.Hash, err = w.hash(s, tower, beside); err != nil {
		return a, err
	}
	if w.c.Bool("resume") {
		if note, done := w.store.Done(out, a.Hash); done {
			return batch.Answer{Note: note, Kept: true}, nil
		}
	}
	if s.job == nil {
		if err := w.open(s); err != nil {
			return a, err
		}
	}
	analysis := s.analyse()
	row := compare.Voice(s.name, analysis, s.way.planFor(analysis, tower.Tower), voicing.Options{Tower: tower.Tower, Melody: s.rules})
	if row.Error != "" {
		return a, errors.New(row.Error)
	}
	row.Report.File = s.name
	if a.Sum, err = w.store.Write(r.Temp, scoreWriter(out, s.doc, row.Result)); err != nil {
		return a, fmt.Errorf("the result cannot be written: %w", cause(err))
	}
	if a.Beside, err = w.writeBeside(s, tower, &row, r.Temp, beside); err != nil {
		return a, err
	}
	a.Row = songbook.Of(analysis.Study(tower.Tower), row)
	a.Row.Seconds = time.Since(start).Seconds()
	return a, nil
}

// beside are the endings of the files that a result has beside it: those that are
// asked for, and those that an earlier run left there, which would else be of
// another voicing than the result.
func (w *songWorker) beside(out string) (endings []string) {
	for _, f := range []struct{ flag, ending string }{{"reports", batch.ReportEnding}, {"pages", batch.PageEnding}} {
		if w.c.Bool(f.flag) || w.store.Left(out, f.ending) {
			endings = append(endings, f.ending)
		}
	}
	return endings
}

// writeBeside writes the files beside a result and gives their sums by ending.
func (w *songWorker) writeBeside(s *song, tower songTower, row *compare.Row, temp string, endings []string) (map[string]string, error) {
	sums := map[string]string{}
	for _, ending := range endings {
		write := func(out io.Writer) error { return printJSON(out, toldOf(row.Report, row.Check)) }
		if ending == batch.PageEnding {
			s.tower = tower.Tower
			page, err := s.voicePage(w.c, row.Source, row.Result, row.Report, row.Check)
			if err != nil {
				return nil, fmt.Errorf("the result cannot be shown: %w", err)
			}
			write = page.Write
		}
		sum, err := w.store.Write(temp+ending, write)
		if err != nil {
			return nil, fmt.Errorf("%s beside the result cannot be written: %w", ending, cause(err))
		}
		sums[ending] = sum
	}
	return sums, nil
}

// open reads the score.
func (w *songWorker) open(s *song) error {
	doc, err := musicxml.Read(bytes.NewReader(s.text), s.name, w.limits)
	if err != nil {
		return flagged(err)
	}
	s.text = nil
	s.job, err = newJob(w.c, s.name, doc)
	return err
}

// hash names all that a result, with the files beside it, depends on.
func (w *songWorker) hash(s *song, tower songTower, beside []string) (string, error) {
	all, err := json.Marshal([]any{s.sum, s.way.plan, s.way == w.way, beside, s.way.auto, w.c.StringSlice("melody"), w.c.String("sections"), tower.name, tower.text, w.program})
	sum := sha256.Sum256(all)
	return hex.EncodeToString(sum[:]), err
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
		return nil, fmt.Errorf("it has %d bytes, more than the limit of %d: --max-size sets another limit", before.Size(), most)
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
