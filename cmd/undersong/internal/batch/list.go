// Package batch has many scores worked on, each on its own, by worker processes,
// and puts what they make into a folder, whole or not at all. What a worker does
// with a score is not its business.
//
// A limit that also holds for a stack that overflows or for memory that runs
// away cannot be kept within one process: so each worker is a process of the same
// program ([Serve]), which takes one score after another, ends itself when it is
// past a limit, and is replaced. Workers write temporary files only; the run
// that started them ([Run]) gives whole ones their names and notes beside them
// what they were made of. So it can be ended at any moment, even by the power,
// and another run goes on from there.
package batch

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"undersong/voicing/songbook"
)

// File is a score to work on.
type File struct {
	Name string // as data, see [songbook.Name]; no two of a list have the same
	Path string // to open
	Rel  string // its place in the tree of results
	Out  string // the file of its result there; "" where another one has it
	Err  string // why it cannot be worked on, "" where it can
}

// Folder lists the files under a folder, at any depth, whose names have one of
// the endings. Names that begin with a dot are left out. Links to files count as
// files; links to folders are not followed, since they can lead round in a circle,
// but counted. Folders that cannot be read are named, see [songbook.Name].
func Folder(in string, endings []string) (files []File, links int, closed []string, err error) {
	// With a separator at its end a link to a folder is that folder.
	err = filepath.WalkDir(in+string(filepath.Separator), func(path string, d fs.DirEntry, err error) error {
		rel, relErr := filepath.Rel(in, path)
		switch {
		case relErr != nil:
			return relErr
		case err != nil && rel == ".":
			return err
		case err != nil:
			closed = append(closed, songbook.Name(rel))
		case rel != "." && strings.HasPrefix(d.Name(), "."):
			if d.IsDir() {
				return fs.SkipDir
			}
		case d.Type()&fs.ModeSymlink != 0 && leadsToFolder(path):
			links++
		case !d.IsDir() && slices.Contains(endings, strings.ToLower(filepath.Ext(path))):
			files = append(files, File{Name: songbook.Name(rel), Path: path, Rel: rel, Err: leadsNowhere(path)})
		}
		return nil
	})
	settle(files)
	return files, links, closed, err
}

func leadsToFolder(link string) bool {
	info, err := os.Stat(link)
	return err == nil && info.IsDir()
}

// leadsNowhere says so of a link whose file is not there.
func leadsNowhere(path string) string {
	to, err := os.Readlink(path)
	if err != nil {
		return ""
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		return ""
	}
	return fmt.Sprintf("it is a link to %s, which is not there", shown(to))
}

// Paths lists the files that a list names: one a line, or each ended by NUL where
// there is one, since a name can have lines. They keep their tree, without what
// would lead out of the folder of results.
func Paths(r io.Reader) ([]File, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	end := "\n"
	if bytes.IndexByte(text, 0) >= 0 {
		end = "\x00"
	}
	var files []File
	seen := map[string]bool{}
	for path := range strings.SplitSeq(string(text), end) {
		if end == "\n" {
			path = strings.TrimSpace(path) // lists are written by hand too
		}
		if path != "" && !seen[path] {
			seen[path] = true
			rel := filepath.Clean(string(filepath.Separator) + path)
			files = append(files, File{Name: songbook.Name(path), Path: path, Rel: rel[1:]})
		}
	}
	settle(files)
	if len(files) == 0 {
		return nil, errors.New("the list names no score")
	}
	return files, nil
}

// Guard refuses the files whose results would be scores of the list themselves,
// for their folder is also the one of the results, or of a tower in it.
func Guard(files []File, out string, towers []string) {
	sources := map[string]bool{}
	for _, f := range files {
		sources[real(f.Path)] = true
	}
	for i := range files {
		f := &files[i]
		for _, tower := range towers {
			if result := filepath.Join(out, resultOn(f, tower, towers)); f.Err == "" && sources[real(result)] {
				f.Err = fmt.Sprintf("its result would be %s, which is a score of the list: give another folder of results", shown(result))
			}
		}
	}
}

// settle sorts files by name and gives each a result of its own: where song.xml
// and song.musicxml lie side by side, the first one's is song.xml.musicxml.
func settle(files []File) {
	slices.SortStableFunc(files, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	wanted := map[string]int{}
	for _, f := range files {
		wanted[result(f.Rel)]++
	}
	taken := map[string]string{} // the file of each result
	for i := range files {
		f := &files[i]
		if f.Out = result(f.Rel); wanted[f.Out] > 1 && f.Out != f.Rel {
			f.Out = f.Rel + ".musicxml"
		}
		if first, _, _ := strings.Cut(f.Out, string(filepath.Separator)); first == kept && f.Err == "" {
			f.Err = kept + " is a songbook's own: nothing in it is a score"
		}
		if other := taken[f.Out]; other != "" && f.Err == "" {
			f.Err = fmt.Sprintf("its result would be %s, which is that of %s: give one of them another name, or leave it out", shown(f.Out), songbook.Shown(other))
			f.Out = ""
		}
		taken[f.Out] = f.Name
	}
}

// result is the file of a result: of the score's name and kind.
func result(name string) string {
	ext := filepath.Ext(name)
	if strings.EqualFold(ext, ".mxl") {
		return name
	}
	return strings.TrimSuffix(name, ext) + ".musicxml"
}

// shown is a file's name for a line.
func shown(name string) string { return songbook.Shown(songbook.Name(name)) }

// Inside tells whether a folder, that may be still to come, lies in another one
// or is it, links followed.
func Inside(folder, in string) bool {
	rel, err := filepath.Rel(real(in), real(folder))
	return err == nil && filepath.IsLocal(rel)
}

// real is the path of a file without links, as far as it is there.
func real(path string) string {
	path, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	if there, err := filepath.EvalSymlinks(path); err == nil {
		return there
	}
	if dir := filepath.Dir(path); dir != path {
		return filepath.Join(real(dir), filepath.Base(path))
	}
	return path
}

// Cause is a failed file operation without the name that the system was given,
// which may be a temporary one.
//
// The system says only what is wrong: what to do is added.
func Cause(err error) error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		err = p.Err
	} else if l, ok := errors.AsType[*os.LinkError](err); ok {
		err = l.Err
	}
	for _, a := range advice {
		if errors.Is(err, a.about) {
			return fmt.Errorf("%w: %s", err, a.what)
		}
	}
	return err
}

// advice is what to do about errors of the system.
var advice = []struct {
	about error
	what  string
}{
	{fs.ErrNotExist, "look at the name, or where the link leads"},
	{fs.ErrPermission, "get the right to it, or use another place"},
	{syscall.ENOSPC, "make room there, or use another place"},
	{syscall.EROFS, "use another place"},
	{syscall.ENAMETOOLONG, "give a shorter one"},
	{syscall.ELOOP, "a link leads back to itself, mend it"},
}
