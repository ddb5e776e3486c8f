package main

import (
	"bufio"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"github.com/urfave/cli/v2"

	"undersong/voicing"
	"undersong/voicing/compare"
)

// songbookCommand voices all scores of a folder.
func songbookCommand() *cli.Command {
	return &cli.Command{
		Name:      "songbook",
		Usage:     "voice every score of a folder, each on its own, with a summary",
		ArgsUsage: "FOLDER",
		Description: "Voices every .musicxml, .xml and .mxl file under FOLDER, at any depth (- reads a list of files\n" +
			"from standard input), as the flags of voice say, and keeps the tree in the folder of -o. A\n" +
			"score that fails is a row of the summary and stops nothing. The summary is on standard output\n" +
			"and, as data, in songbook.json in that folder; what needs a person's eye stands first.",
		Flags: slices.Concat(wayFlags(), []cli.Flag{
			&cli.StringFlag{Name: "o", Usage: "the `FOLDER` to write to; it must not lie in the one that is read"},
			&cli.IntFlag{Name: "jobs", Value: runtime.NumCPU(), Usage: "how many scores are worked on at once"},
			&cli.BoolFlag{Name: "resume", Usage: "leave out what is there already of the same score, options and program"},
			&cli.BoolFlag{Name: "json", Usage: "print the summary as JSON"},
			forceFlag(),
		}, limitFlags()),
		Action: songbook,
	}
}

// page is one score of a songbook.
type page struct {
	compare.Row
	Out  string `json:"out,omitempty"` // the file written, under the folder of -o
	Hash string `json:"hash,omitempty"`
	Kept bool   `json:"kept,omitempty"` // as an earlier run left it

	path string // to read
}

// summaryName is the file in which a songbook's summary is kept.
const summaryName = "songbook.json"

func songbook(c *cli.Context) error {
	if c.NArg() != 1 {
		return usage("songbook needs one folder: undersong songbook FOLDER -o OUT")
	}
	in, out := c.Args().First(), c.String("o")
	switch {
	case out == "":
		return usage("songbook needs a folder to write to: -o OUT")
	case c.String("tower") == "-":
		return usage("the tower of a songbook is a name or a file")
	case c.Int("jobs") < 1:
		return usage("--jobs %d: at least one", c.Int("jobs"))
	}
	way, err := planOf(c)
	if err != nil {
		return err
	}
	pages, err := gather(c, in, out)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return fmt.Errorf("%s cannot be made: %w", out, cause(err))
	}
	done := map[string]page{}
	if c.Bool("resume") {
		done = earlier(filepath.Join(out, summaryName))
	}
	work(c, way, pages, out, done)
	return summarise(c, pages, filepath.Join(out, summaryName))
}

// gather lists the scores to voice, by path.
func gather(c *cli.Context, in, out string) ([]page, error) {
	if in == "-" {
		return pathsIn(c.App.Reader)
	}
	info, err := os.Stat(in)
	if err != nil || !info.IsDir() {
		return nil, fmt.Errorf("%s is no folder: give one, or - and a list of files", in)
	}
	if inside(out, in) {
		return nil, usage("%s lies in %s: its results would be read the next time; give another folder", out, in)
	}
	var pages []page
	err = filepath.WalkDir(in, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			pages = append(pages, page{Row: compare.Row{Name: path, Error: cause(err).Error()}, path: path})
			return nil
		}
		if d.Type().IsRegular() && slices.Contains(scoreEndings, strings.ToLower(filepath.Ext(path))) {
			rel, err := filepath.Rel(in, path)
			if err != nil {
				return err
			}
			pages = append(pages, page{Row: compare.Row{Name: rel}, path: path})
		}
		return nil
	})
	if err == nil && len(pages) == 0 {
		err = fmt.Errorf("%s has no score: their names end in %s", in, strings.Join(scoreEndings, ", "))
	}
	return pages, err
}

// inside tells whether a folder lies in another one, or is it.
func inside(folder, in string) bool {
	a, errA := filepath.Abs(folder)
	b, errB := filepath.Abs(in)
	if errA != nil || errB != nil {
		return false
	}
	rel, err := filepath.Rel(b, a)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// pathsIn reads paths, one a line. They keep their own tree, without what would
// lead out of the folder to write to.
func pathsIn(r io.Reader) ([]page, error) {
	var pages []page
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		if path := lines.Text(); path != "" {
			name := strings.TrimPrefix(filepath.Clean("/"+filepath.ToSlash(path)), "/")
			pages = append(pages, page{Row: compare.Row{Name: name}, path: path})
		}
	}
	return pages, lines.Err()
}

// earlier are the pages of a run before this one, by name.
func earlier(file string) map[string]page {
	done := map[string]page{}
	text, err := os.ReadFile(file)
	if err != nil {
		return done
	}
	var pages []page
	if json.Unmarshal(text, &pages) == nil {
		for _, p := range pages {
			done[p.Name] = p
		}
	}
	return done
}

// work voices the pages, several at once. An interrupt lets those finish that
// are being worked on.
func work(c *cli.Context, way *request, pages []page, out string, done map[string]page) {
	var wait sync.WaitGroup
	next := make(chan *page)
	for range c.Int("jobs") {
		wait.Go(func() {
			for p := range next {
				p.voice(c, way, out, done)
			}
		})
	}
	for i := range pages {
		select {
		case next <- &pages[i]:
		case <-c.Context.Done():
			pages[i].Error = "interrupted before it was begun: --resume goes on from here"
		}
		if (i+1)%50 == 0 {
			fmt.Fprintf(c.App.ErrWriter, "%d of %d\n", i+1, len(pages))
		}
	}
	close(next)
	wait.Wait()
}

// voice voices one page; whatever goes wrong with it stays with it.
func (p *page) voice(c *cli.Context, way *request, out string, done map[string]page) {
	if p.Error != "" {
		return
	}
	defer func() {
		if r := recover(); r != nil {
			p.Error = fmt.Sprintf("a fault of this program: %v", r)
			fmt.Fprintf(c.App.ErrWriter, "%s: %v\n%s", p.path, r, debug.Stack())
		}
	}()
	hash, err := p.hash(c)
	if err != nil {
		p.Error = err.Error()
		return
	}
	p.Hash, p.Out = hash, p.target()
	target := filepath.Join(out, p.Out)
	if before, ok := done[p.Name]; ok && before.Hash == hash && before.Error == "" && exists(target) {
		*p = page{Row: before.Row, Out: before.Out, Hash: hash, Kept: true, path: p.path}
		return
	}
	if err := p.write(c, way, target); err != nil {
		p.Error, p.Out = err.Error(), ""
	}
}

// target is the file of the result: of the same name and kind.
func (p *page) target() string {
	ext := filepath.Ext(p.Name)
	if !strings.EqualFold(ext, ".mxl") {
		return strings.TrimSuffix(p.Name, ext) + ".musicxml"
	}
	return p.Name
}

func (p *page) write(c *cli.Context, way *request, target string) error {
	j, err := load(c, p.path)
	if err != nil {
		return err
	}
	a := j.analyse()
	p.Row = compare.Voice(p.Name, a, way.planFor(a, j.tower), voicing.Options{Tower: j.tower, Melody: j.rules, Figure: way.lead})
	if p.Result == nil || p.Error != "" {
		return fmt.Errorf("%s: %s", p.path, p.Error)
	}
	if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
		return fmt.Errorf("%s cannot be made: %w", filepath.Dir(target), cause(err))
	}
	again := c.Bool("force") || c.Bool("resume")
	err = writeAll([]outFile{{target, scoreWriter(target, j.doc, p.Result)}}, again)
	p.Source, p.Result, p.Report = nil, nil, nil // a thousand of them would be too many to keep
	return err
}

// hash names a score, the options and the program.
func (p *page) hash(c *cli.Context) (string, error) {
	h := sha256.New()
	for _, f := range wayFlags() {
		name := f.Names()[0]
		fmt.Fprintf(h, "%s=%v\n", name, c.Value(name))
	}
	for _, file := range []string{c.String("plan"), c.String("tower")} {
		if text, err := os.ReadFile(file); err == nil {
			h.Write(text)
		}
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		fmt.Fprintln(h, info.Main.Version)
	}
	f, err := os.Open(p.path)
	if err != nil {
		return "", fmt.Errorf("%s: %w", p.path, cause(err))
	}
	defer f.Close()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("%s: %w", p.path, cause(err))
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// summarise writes the summary, what needs a person's eye first: errors, then
// what cannot be played, then where the melody had to move.
func summarise(c *cli.Context, pages []page, file string) error {
	slices.SortStableFunc(pages, func(x, y page) int {
		return cmp.Or(strings.Compare(flag(y.Error), flag(x.Error)), cmp.Compare(y.Unplayable, x.Unplayable),
			cmp.Compare(y.MelodyMoved, x.MelodyMoved), strings.Compare(x.Name, y.Name))
	})
	if err := writeAll([]outFile{{file, func(w io.Writer) error { return printJSON(w, pages) }}}, true); err != nil {
		return err
	}
	failed := 0
	rows := make([]compare.Row, len(pages))
	for i, p := range pages {
		if rows[i] = p.Row; p.Error != "" {
			failed++
		}
	}
	if err := printPages(c, pages, rows); err != nil {
		return err
	}
	switch {
	case c.Context.Err() != nil:
		return fmt.Errorf("interrupted: %d of %d scores are voiced; go on with --resume", len(pages)-failed, len(pages))
	case failed > 0:
		return fmt.Errorf("%d of %d scores failed: see the first rows", failed, len(pages))
	}
	return nil
}

func printPages(c *cli.Context, pages []page, rows []compare.Row) error {
	if c.Bool("json") {
		return printJSON(c.App.Writer, pages)
	}
	return compare.WriteText(c.App.Writer, "score", rows)
}

// flag is whether there is an error, as text that sorts.
func flag(err string) string {
	if err != "" {
		return "x"
	}
	return ""
}
