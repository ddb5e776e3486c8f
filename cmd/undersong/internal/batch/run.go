package batch

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"

	"undersong/voicing/songbook"
)

// Run is a run over many scores.
type Run struct {
	Store   *Store
	Towers  []string // their names, which are folders of results where there are several
	Jobs    int      // how many scores are worked on at once
	Replace Replace
	Command []string // of a worker: it does [Serve] in Store
	// Progress is told of each row.
	Progress func(songbook.Row)
}

// Do works on files and gives the rows of those that are done, how many results
// were there already, and how many replaced others. When the context is done it
// ends what is in work at once.
func (r *Run) Do(ctx context.Context, files []File) (rows []songbook.Row, kept, replaced int) {
	next, done := make(chan *File), make(chan Answer)
	var desks sync.WaitGroup
	for i := range min(r.Jobs, len(files)) {
		desks.Go(func() {
			d := &desk{Run: r, number: i, done: done, toDisk: make(chan bool, atOnce)}
			defer d.close()
			for f := range next {
				d.do(ctx, f)
			}
		})
	}
	go func() {
		defer close(done)
		defer desks.Wait()
		defer close(next)
		for i := range files {
			select {
			case next <- &files[i]:
			case <-ctx.Done():
				return
			}
		}
	}()
	for a := range done {
		rows = append(rows, a.Row)
		if a.Kept {
			kept++
		}
		if a.replaced {
			replaced++
		}
		r.Progress(a.Row)
	}
	return rows, kept, replaced
}

// atOnce is how many files of a worker are brought to the disk at once while it
// goes on: it takes a while, and less for each where there are several.
const atOnce = 16

// desk is where one worker is given its scores.
type desk struct {
	*Run
	number int
	asked  int
	done   chan<- Answer
	worker *process
	toDisk chan bool
	puts   sync.WaitGroup
}

func (d *desk) close() {
	if d.worker != nil {
		_ = d.worker.end() // it is at rest: there is nothing to tell
	}
	d.puts.Wait()
}

// do has a score worked on and tells an answer for each tower, unless the context
// is done.
func (d *desk) do(ctx context.Context, f *File) {
	request := Request{Name: f.Name, Path: []byte(f.Path), Rel: []byte(f.Rel)}
	for t, tower := range d.Towers {
		out := resultOn(f, tower, d.Towers)
		d.asked++
		request.Results = append(request.Results, Result{t, []byte(out), d.Store.Temp(fmt.Sprintf("%d-%d", d.number, d.asked))})
	}
	left, err := request.Results, errors.New(f.Err)
	if f.Err == "" {
		left, err = d.ask(ctx, request)
	}
	for _, result := range left {
		d.Store.root.Remove(result.Temp) // if it was begun
		if ctx.Err() == nil {
			d.done <- d.failed(f.Name, result, err.Error())
		}
	}
}

// failed is the answer of a result that failed, with a word of what an earlier run
// made of it.
func (d *desk) failed(name string, r Result, why string) Answer {
	row := Failed(name, d.Towers[r.Tower], why)
	if d.Store.Left(string(r.Out), "") {
		row.Error += "; its result of an earlier run stays"
	}
	return Answer{Note: Note{Row: row}}
}

// resultOn is the file of a score's result on one of some towers, each of which has
// a folder of its own where there are several.
func resultOn(f *File, tower string, towers []string) string {
	if len(towers) == 1 {
		return f.Out
	}
	return filepath.Join(tower, f.Out)
}

// ask gives a score to the worker, which is started if there is none. Where it
// ends before the last answer, the results that are left are given with the
// reason.
func (d *desk) ask(ctx context.Context, r Request) (left []Result, err error) {
	left = r.Results
	if d.worker == nil {
		worker, err := start(ctx, d.Command)
		if err != nil {
			return left, fmt.Errorf("no worker can be started: %w", err)
		}
		d.worker = worker
	}
	_ = d.worker.ask.Encode(r) // that it cannot be asked shows in the answers
	for len(left) > 0 {
		var a Answer
		if d.worker.answers.Decode(&a) != nil {
			err := d.worker.end()
			d.worker = nil
			return left, err
		}
		a.Row.Name, a.Row.Tower = r.Name, d.Towers[left[0].Tower]
		if a.Row.Error != "" {
			a = d.failed(r.Name, left[0], a.Row.Error)
		} else {
			out := filepath.ToSlash(string(left[0].Out))
			a.Row.Out = songbook.Name(out)
			if a.sum(PageEnding) != "" {
				a.Row.Page = songbook.Name(out + PageEnding)
			}
			if a.sum(ReportEnding) != "" {
				a.Row.ReportFile = songbook.Name(out + ReportEnding)
			}
		}
		d.put(left[0], a)
		left = left[1:]
	}
	return nil, nil
}

// put has a result brought into its place while the worker goes on.
func (d *desk) put(r Result, a Answer) {
	if a.Sum == "" || a.Kept {
		d.done <- a
		return
	}
	d.toDisk <- true
	d.puts.Go(func() {
		var err error
		if a.replaced, err = d.Store.Put(r.Temp, string(r.Out), a.Note, d.Replace); err != nil {
			a = Answer{Note: Note{Row: Failed(a.Row.Name, a.Row.Tower, fmt.Sprintf("the result cannot be written: %v", Cause(err)))}}
		}
		d.done <- a
		<-d.toDisk
	})
}

// process is a worker as the run sees it.
type process struct {
	cmd     *exec.Cmd
	in      io.Closer
	ask     *json.Encoder
	answers *json.Decoder
	said    bytes.Buffer // on standard error
}

// start starts a worker. One of its processors is for the score, the other for what
// waits beside it and for the collector; its fellows have the rest.
func start(ctx context.Context, command []string) (*process, error) {
	p := &process{cmd: exec.CommandContext(ctx, command[0], command[1:]...)}
	p.cmd.Env = append(os.Environ(), "GOMAXPROCS=2")
	p.cmd.Stderr = &p.said
	in, err := p.cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	p.in, p.ask, p.answers = in, json.NewEncoder(in), json.NewDecoder(out)
	return p, p.cmd.Start()
}

// end ends a worker that is at rest or has ended, and tells why it has: what it
// said or, of one that could say nothing, how it went.
func (p *process) end() error {
	p.in.Close()
	err := p.cmd.Wait()
	said, _, _ := strings.Cut(p.said.String(), "\n")
	if said == "" && err != nil {
		return fmt.Errorf("its worker was ended from outside (%w): --resume tries it again", err)
	}
	return errors.New(cmp.Or(said, "its worker ended"))
}
