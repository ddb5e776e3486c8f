package batch

import (
	"fmt"
	"io"
	"sync/atomic"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"undersong/voicing/songbook"
)

// Progress tells how far a run is: with a bar on a terminal, else with a line now
// and then.
type Progress struct {
	out          io.Writer
	all          int64
	done, failed atomic.Int64
	began, told  time.Time
	said         string        // of what failed last
	bars         *mpb.Progress // nil for lines
	bar          *mpb.Bar
}

// between is the time from one line to the next.
const between = 10 * time.Second

// NewProgress is the progress to so many rows.
func NewProgress(out io.Writer, terminal bool, all int) *Progress {
	p := &Progress{out: out, all: int64(all), began: time.Now(), told: time.Now()}
	if terminal {
		p.bars = mpb.New(mpb.WithOutput(out), mpb.WithWidth(40))
		p.bar = p.bars.AddBar(p.all, mpb.BarRemoveOnComplete(),
			mpb.AppendDecorators(decor.Any(func(decor.Statistics) string { return " " + p.text() })))
	}
	return p
}

// Row tells that a row is there.
func (p *Progress) Row(r songbook.Row) {
	p.done.Add(1)
	if r.Error != "" {
		p.failed.Add(1)
		line := fmt.Sprintf("failed: %s: %s\n", songbook.Shown(r.Name), r.Error)
		switch {
		case line == p.said: // for another tower
		case p.bars != nil:
			_, _ = p.bars.Write([]byte(line)) // above the bar
		default:
			fmt.Fprint(p.out, line)
		}
		p.said = line // at once, for who would rather stop
	}
	switch {
	case p.bars != nil:
		p.bar.Increment()
	case time.Since(p.told) > between:
		p.told = time.Now()
		fmt.Fprintln(p.out, p.text())
	}
}

// End takes the bar away.
func (p *Progress) End() {
	if p.bars != nil {
		p.bar.Abort(true)
		p.bars.Wait()
	}
}

func (p *Progress) text() string {
	done, took := p.done.Load(), time.Since(p.began)
	rate := float64(done) / took.Seconds()
	left := "–"
	if done > 0 {
		left = (took * time.Duration(p.all-done) / time.Duration(done)).Round(time.Second).String()
	}
	return fmt.Sprintf("%d of %d, %d failed, %.1f a second, %s left", done, p.all, p.failed.Load(), rate, left)
}
