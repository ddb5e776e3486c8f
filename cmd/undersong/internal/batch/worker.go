package batch

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"sync"
	"syscall"
	"time"

	"undersong/voicing/songbook"
)

// Request is a score for a worker. Names of files are bytes, since they need not
// be text, as JSON is.
type Request struct {
	Name      string `json:"name"`
	Path, Rel []byte
	Results   []Result `json:"results"`
}

// Result is one that is wanted.
type Result struct {
	Tower int    `json:"tower"` // which of them
	Out   []byte `json:"out"`   // its name
	Temp  string `json:"temp"`  // the file to write
}

// Answer is what became of a result: a row, and of a file that was written its
// hash and sum.
type Answer struct {
	Note
	Kept bool `json:"kept,omitempty"` // it is there already

	replaced bool // it was put into the place of another
}

// Limits are those of a worker, for one score; 0 is none.
type Limits struct {
	Time   time.Duration
	Memory int64 // bytes
}

// Work works on a score and answers each result in turn. What it panics with is
// told of the results that it has not answered.
type Work func(r Request, answer func(Answer))

// Serve works as a worker: it takes requests from in and answers on out, until in
// ends. Where that is during work, the run has died, and the process ends at once,
// as it does when a score is past a limit.
func Serve(in io.Reader, out io.Writer, limits Limits, work Work) error {
	// What ends a run may go to its workers too. They answer, and end when it does.
	signal.Ignore(os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	w := &worker{limits: limits, answers: json.NewEncoder(out)}
	if limits.Memory > 0 {
		debug.SetMemoryLimit(limits.Memory / 8 * 7) // collect rather than be ended
	}
	go w.watch()
	requests := make(chan Request)
	go func() {
		lines := json.NewDecoder(in)
		for {
			var r Request
			if lines.Decode(&r) != nil {
				os.Exit(0)
			}
			requests <- r
		}
	}()
	for r := range requests {
		if err := w.serve(r, work); err != nil {
			return err
		}
	}
	return nil
}

type worker struct {
	limits  Limits
	answers *json.Encoder

	mu    sync.Mutex
	since time.Time // when the score was begun; the zero time between two
}

func (w *worker) serve(r Request, work Work) (err error) {
	w.begin(time.Now())
	left := r.Results
	answer := func(a Answer) {
		left = left[1:]
		if len(left) == 0 {
			w.begin(time.Time{}) // no limit may end the process any more
		}
		if errNow := w.answers.Encode(a); err == nil {
			err = errNow
		}
	}
	defer func() {
		if fault := recover(); fault != nil {
			for range left {
				var a Answer
				a.Row.Error = fmt.Sprintf("a fault of this program, which 'undersong voice' with this score shows whole: %s", firstLine(fmt.Sprint(fault)))
				answer(a)
			}
		}
	}()
	work(r, answer)
	return err
}

func (w *worker) begin(at time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.since = at
}

// tick is how often the limits are looked at.
const tick = 25 * time.Millisecond

// watch ends the process when a score is past a limit. What it says on standard
// error is the error of that score.
func (w *worker) watch() {
	for range time.Tick(tick) {
		w.mu.Lock()
		switch {
		case w.since.IsZero():
		case w.limits.Time > 0 && time.Since(w.since) > w.limits.Time:
			end("it takes longer than %v: --time-limit sets another limit", w.limits.Time)
		case w.limits.Memory > 0 && takes(uint64(w.limits.Memory)):
			end("it takes more than %d MB of memory: --memory-limit sets another limit", w.limits.Memory>>20)
		}
		w.mu.Unlock()
	}
}

func end(format string, args ...any) {
	fmt.Fprintf(os.Stderr, format+"\n", args...)
	os.Exit(1)
}

// takes tells whether the process takes more than so many bytes, also once what
// nobody needs any more is given back.
func takes(most uint64) bool {
	if memory() <= most {
		return false
	}
	debug.FreeOSMemory()
	return memory() > most
}

// memory is how many bytes the process has from the system.
func memory() uint64 {
	samples := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	metrics.Read(samples)
	return samples[0].Value.Uint64() - samples[1].Value.Uint64()
}

// Failed is the row of a score that failed.
func Failed(name, tower, why string) songbook.Row {
	r := songbook.Row{Tower: tower}
	r.Name, r.Error = name, firstLine(why)
	return r
}

// firstLine is the first of several lines, and how many more there are.
func firstLine(text string) string {
	line, more, _ := strings.Cut(strings.TrimSpace(text), "\n")
	if more == "" {
		return line
	}
	return fmt.Sprintf("%s (and %d more)", line, 1+strings.Count(more, "\n"))
}
