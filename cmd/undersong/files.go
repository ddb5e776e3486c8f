package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"

	"undersong/cmd/undersong/internal/batch"
	"undersong/score"
	"undersong/score/musicxml"
)

// limitFlags bound what a score from a stranger can cost.
func limitFlags() []cli.Flag {
	return []cli.Flag{
		&cli.Int64Flag{Name: "max-size", Value: 512, Usage: "refuse a score larger, unpacked, than so many `MB`"},
		&cli.Int64Flag{Name: "max-ratio", Value: 200, Usage: "refuse an archive that unpacks to more than `N` times its size, and more than 4 MB"},
	}
}

// forceFlag lets files be replaced.
func forceFlag() cli.Flag {
	return &cli.BoolFlag{Name: "force", Usage: "replace files that are there already"}
}

// limitsOf are what limitFlags say.
func limitsOf(c *cli.Context) (musicxml.Limits, error) {
	limits := musicxml.Limits{Bytes: c.Int64("max-size") << 20, Ratio: c.Int64("max-ratio")}
	if limits.Bytes <= 0 || limits.Ratio <= 0 {
		return limits, usage("--max-size and --max-ratio are at least 1")
	}
	return limits, nil
}

// await is what read gives, or the end of the context if that comes first: a file
// that is a pipe, or standard input, may never come, and no signal ends waiting for
// it. Then read is left to itself.
func await[T any](ctx context.Context, read func() (T, error)) (T, error) {
	var got T
	var err error
	done := make(chan bool)
	go func() {
		got, err = read()
		close(done)
	}()
	select {
	case <-done:
		return got, err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}

// readScore reads the score at path, "-" for standard input.
func readScore(c *cli.Context, path string) (*musicxml.Document, error) {
	doc, err := await(c.Context, func() (*musicxml.Document, error) { return readScoreNow(c, path) })
	return doc, flagged(err)
}

// flagged is err with the flags that allow more where it is of a limit.
func flagged(err error) error {
	if errors.Is(err, musicxml.ErrTooLarge) {
		err = fmt.Errorf("%w: --max-size and --max-ratio set others", err)
	}
	return err
}

func readScoreNow(c *cli.Context, path string) (*musicxml.Document, error) {
	limits, err := limitsOf(c)
	if err != nil {
		return nil, err
	}
	if path == "-" {
		return musicxml.ReadContext(c.Context, c.App.Reader, "standard input", limits)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, cause(err))
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil {
		if info.IsDir() {
			return nil, fmt.Errorf("%s is a folder: give one score", path)
		}
		collectFor(path, info.Size())
	}
	return musicxml.ReadContext(c.Context, f, path, limits)
}

// smallScore is up to how many bytes a score takes so little memory that collecting
// it less often costs nothing and saves a sixth of the time.
const smallScore = 1 << 20

// packs is how many bytes of a score are packed into one, at most as a rule.
const packs = 20

// collectFor has memory collected as suits a score of so many bytes.
func collectFor(name string, size int64) {
	if strings.EqualFold(filepath.Ext(name), ".mxl") {
		size *= packs
	}
	percent := 100
	if size < smallScore {
		percent = 400
	}
	debug.SetGCPercent(percent)
}

// cause is a failed file operation without the name that the system was
// given, which may be a temporary one.
func cause(err error) error { return batch.Cause(err) }

// scoreEndings are the names that a written score can have.
var scoreEndings = []string{".musicxml", ".xml", ".mxl"}

// scoreWriter writes a score in the form that the name asks for.
func scoreWriter(name string, doc *musicxml.Document, s *score.Score) func(io.Writer) error {
	return func(w io.Writer) error {
		if strings.EqualFold(filepath.Ext(name), ".mxl") {
			return doc.WriteArchive(w, s)
		}
		return doc.Write(w, s)
	}
}

// findings are a file of findings: text on standard output or, with --json, data in
// the file that it names.
func findings(c *cli.Context, text func(io.Writer) error, data any) outFile {
	if out := c.String("json"); out != "" {
		return outFile{out, func(w io.Writer) error { return printJSON(w, data) }}
	}
	return outFile{"-", text}
}

// resultName is where a score goes that was made of another: what -o says or,
// without it, that one's name with something added. It refuses, before any
// work, what cannot be written.
func resultName(c *cli.Context, in, added string) (string, error) {
	out := c.String("o")
	switch {
	case out == "" && in == "-":
		return "", usage("a score from standard input has no name: give one with -o")
	case out == "":
		out = defaultName(in, added)
	case out == "-" && c.Bool("json"):
		return "", usage("-o - and --json both want standard output: give the score a name")
	case out != "-" && !slices.Contains(scoreEndings, strings.ToLower(filepath.Ext(out))):
		return "", usage("%s: the name of a score ends in %s", out, strings.Join(scoreEndings, ", "))
	}
	return out, newFile(c, in, out)
}

func defaultName(in, added string) string {
	name := stem(in) + "-" + added
	if strings.EqualFold(filepath.Ext(in), ".mxl") {
		return name + ".mxl"
	}
	return name + ".musicxml"
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// stem is a file's name without folder and ending.
func stem(path string) string {
	base := filepath.Base(path)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// outFile is a file to be written, whole or not at all.
type outFile struct {
	path  string // "-" for standard output
	write func(io.Writer) error
}

// writeAll writes files under temporary names and gives them their own, and what is
// for standard output to that, only when all are complete. Without force a file that
// is there is an error.
func writeAll(c *cli.Context, files ...outFile) error {
	temporary := make([]string, len(files)) // "" for standard output
	defer func() {
		for _, t := range temporary {
			os.Remove(t)
		}
	}()
	for i, f := range files {
		if f.path == "-" {
			continue
		}
		if err := writable(f.path, c.Bool("force")); err != nil {
			return err
		}
		var err error
		if temporary[i], err = writeTemporary(f); err != nil {
			return fmt.Errorf("%s cannot be written: %w", f.path, cause(err))
		}
	}
	if err := c.Context.Err(); err != nil {
		return err // interrupted
	}
	for i, f := range files {
		if f.path == "-" {
			if err := f.write(c.App.Writer); err != nil {
				return err
			}
		} else if err := os.Rename(temporary[i], f.path); err != nil {
			return fmt.Errorf("%s cannot be written: %w", f.path, cause(err))
		}
	}
	return nil
}

// writable tells why a file cannot be written, before any work is done.
func writable(path string, force bool) error {
	if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
		return fmt.Errorf("%s: there is no folder %s: make it first", path, filepath.Dir(path))
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil // not there; any other trouble shows when it is made
	case !info.Mode().IsRegular():
		return fmt.Errorf("%s is not a file: give the name of one", path)
	case !force:
		return fmt.Errorf("%s is there already: give another name, or --force to replace it", path)
	}
	return nil
}

// sameFile tells whether two paths name one file, that is there or to come.
func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	if errX == nil && errY == nil {
		return os.SameFile(x, y)
	}
	return errX != nil && errY != nil && filepath.Base(a) == filepath.Base(b) && sameFolder(a, b)
}

func sameFolder(a, b string) bool {
	x, errX := os.Stat(filepath.Dir(a))
	y, errY := os.Stat(filepath.Dir(b))
	return errX == nil && errY == nil && os.SameFile(x, y)
}

func writeTemporary(f outFile) (name string, err error) {
	t, err := os.CreateTemp(filepath.Dir(f.path), ".undersong-*")
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, t.Close()) }()
	if err := f.write(t); err != nil {
		return t.Name(), err
	}
	if err := t.Chmod(0o644); err != nil {
		return t.Name(), err
	}
	return t.Name(), t.Sync()
}
