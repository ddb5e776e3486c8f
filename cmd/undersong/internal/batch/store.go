package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/gofrs/flock"

	"undersong/voicing/songbook"
)

// kept is the folder, in that of results, of what a run needs for itself: locks,
// temporary files, and what earlier runs noted.
const kept = ".songbook"

// The endings of the page and the report that may be beside a result.
const PageEnding, ReportEnding = ".html", ".json"

// Store is a folder of results. Nothing that it does reaches out of it, also not
// by links.
type Store struct {
	root  *os.Root
	shard songbook.Shard
	temp  string         // the folder for temporary files
	locks []*flock.Flock // held
}

// Note tells of a result what it was made of.
type Note struct {
	Hash string `json:"hash"` // of score, options, plan, tower and program
	Sum  string `json:"sum"`  // of the file written
	// Beside are the sums of files that were written besides, by their endings: the
	// temporary file's name, and then the result's, has each added.
	Beside map[string]string `json:"sums,omitempty"`
	// Was is, of a file without a row, the sum of the one before it, which is still
	// there where the run was ended before this one was put into its place.
	Was string `json:"was,omitempty"`
	Row songbook.Row
}

// sum is that of the result or, with an ending, of a file beside it; "" of none.
func (n *Note) sum(ending string) string {
	if ending == "" {
		return n.Sum
	}
	return n.Beside[ending]
}

// OpenStore opens a folder of results, which is made if it is not there.
func OpenStore(path string, shard songbook.Shard) (*Store, error) {
	if err := os.MkdirAll(path, 0o755); err != nil {
		return nil, fmt.Errorf("%s cannot be written to: %w", path, Cause(err))
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, Cause(err))
	}
	if err := root.MkdirAll(kept, 0o755); err != nil {
		root.Close()
		return nil, fmt.Errorf("%s cannot be written to: %w", path, Cause(err))
	}
	return &Store{root: root, shard: shard, temp: filepath.Join(kept, "temp"+shard.Suffix())}, nil
}

// Close closes the folder and gives up the locks.
func (s *Store) Close() error {
	var errs []error
	for _, l := range s.locks {
		errs = append(errs, l.Close())
	}
	return errors.Join(append(errs, s.root.Close())...)
}

// Used tells whether a run of the whole list, or of this shard, was here before.
func (s *Store) Used() bool {
	_, err := s.root.Lstat(s.lockName())
	return err == nil
}

// lockName is the name of a lock. The files stay, for one who is about to lock one
// must not find it gone.
func (s *Store) lockName() string { return filepath.Join(kept, "lock"+s.shard.Suffix()) }

// Lock keeps other runs out until the folder is closed: a run of the whole list
// has it for itself, shards share it. What a run that was killed had in work is
// taken away.
func (s *Store) Lock() error {
	// A lock that is a link and leads out of the folder is refused here.
	for _, name := range []string{filepath.Join(kept, "lock"), s.lockName()} {
		f, err := s.root.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return fmt.Errorf("%s cannot be written to: %w", s.root.Name(), Cause(err))
		}
		f.Close()
	}
	all := flock.New(filepath.Join(s.root.Name(), kept, "lock"))
	part := flock.New(filepath.Join(s.root.Name(), s.lockName()))
	s.locks = []*flock.Flock{all, part}
	got, err := false, error(nil)
	if s.shard.N == 0 {
		got, err = all.TryLock()
	} else if got, err = all.TryRLock(); got {
		got, err = part.TryLock()
	}
	switch {
	case err != nil:
		return fmt.Errorf("%s cannot be written to: %w", s.root.Name(), Cause(err))
	case !got:
		return fmt.Errorf("%s: another run is at work there: wait for its end, or give another folder", s.root.Name())
	}
	s.Tidy()
	if err := s.root.Mkdir(s.temp, 0o755); err != nil {
		return fmt.Errorf("%s cannot be written to: %w", s.root.Name(), Cause(err))
	}
	return nil
}

// Tidy takes away all temporary files.
func (s *Store) Tidy() { _ = s.root.RemoveAll(s.temp) } // what stays is in nobody's way

// Temp is a name for a temporary file.
func (s *Store) Temp(name string) string { return filepath.Join(s.temp, name) }

// Done is what is noted of a result that is there, with what was made beside it, and
// was made of what has this hash.
// It may have been changed by hand since.
func (s *Store) Done(out, hash string) (Note, bool) {
	note := s.note(out)
	done := note.Hash == hash && s.isFile(out)
	for ending := range note.Beside {
		done = done && s.isFile(out+ending)
	}
	return note, done
}

// Left tells whether an earlier run left a result or, with an ending, a file beside
// it, and it is there.
func (s *Store) Left(out, ending string) bool {
	note := s.note(out)
	return note.sum(ending) != "" && s.isFile(out+ending)
}

func (s *Store) isFile(name string) bool {
	info, err := s.root.Stat(name)
	return err == nil && info.Mode().IsRegular()
}

// note is what is noted of a result, the zero value where nothing is.
func (s *Store) note(out string) Note {
	var n Note
	if text, err := s.root.ReadFile(noteOf(out)); err != nil || json.Unmarshal(text, &n) != nil {
		return Note{} // it may be torn; then the result is made again
	}
	return n
}

// noteOf is the file of a note. Its name is a hash, for that of a result may be as
// long as a name can be.
func noteOf(out string) string {
	sum := sha256.Sum256([]byte(out))
	return filepath.Join(kept, "notes", hex.EncodeToString(sum[:])+".json")
}

// Write writes a temporary file and gives the sum of what is in it.
func (s *Store) Write(temp string, write func(io.Writer) error) (sum string, err error) {
	f, err := s.root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	h := sha256.New()
	if err := write(io.MultiWriter(f, h)); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// Replace says which files may be replaced.
type Replace int

const (
	ReplaceNone Replace = iota
	ReplaceOurs         // those that are as an earlier run left them
	ReplaceAll
)

// Put gives a temporary file and those beside it their names, once they are on the
// disk, and notes what they were made of. Where one of them may not be replaced
// all stay as they are, for they belong together. It tells whether any was
// replaced.
func (s *Store) Put(temp, out string, n Note, replace Replace) (replaced bool, err error) {
	old, endings := s.note(out), append(slices.Sorted(maps.Keys(n.Beside)), "")
	defer func() {
		for _, ending := range endings {
			s.root.Remove(temp + ending) // it is not there any more if all goes well
		}
	}()
	var differ []string
	for _, ending := range endings {
		there, err := s.free(out+ending, n.sum(ending), replace, old.sum(ending))
		if err != nil {
			return false, err
		}
		if there != n.sum(ending) {
			differ = append(differ, ending)
		}
		replaced = replaced || there != "" && there != n.sum(ending)
	}
	if err := s.root.MkdirAll(filepath.Dir(out), 0o755); err != nil {
		return false, err
	}
	for _, ending := range differ {
		if err := s.sync(temp + ending); err != nil {
			return false, err
		}
	}
	for _, ending := range differ {
		if err := s.root.Rename(temp+ending, out+ending); err != nil {
			return false, err
		}
	}
	return replaced, s.writeNote(out, n)
}

// free gives the sum of the file that is in the place of one with another sum, ""
// of none, and an error where it may not be replaced. What is noted of it are the
// sums that earlier runs can have left, "" where there were none.
func (s *Store) free(name, sum string, replace Replace, noted ...string) (there string, err error) {
	there, err = s.sum(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", nil
	case err != nil || there == sum || replace == ReplaceAll:
	case noted[0] == "":
		err = fmt.Errorf("%s is there already and nothing tells what it was made of: %w", shown(name), errStays)
	case !slices.Contains(noted, there):
		err = fmt.Errorf("%s was changed since an earlier run made it: %w", shown(name), errStays)
	case replace == ReplaceNone:
		err = fmt.Errorf("%s is there already, an earlier run made it: %w", shown(name), errStays)
	}
	return there, err
}

var errStays = errors.New("it stays, with all that belongs to it; move it away, or let songbook --resume --force replace it")

// sync brings a file to the disk.
func (s *Store) sync(name string) error {
	f, err := s.root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// writeNote writes what is noted of a result. It is not synced: where it is lost
// the result is made again.
func (s *Store) writeNote(out string, n Note) error {
	text, err := json.Marshal(n)
	if err == nil {
		err = s.root.MkdirAll(filepath.Dir(noteOf(out)), 0o755)
	}
	if err == nil {
		err = s.root.WriteFile(noteOf(out), text, 0o644)
	}
	return err
}

// Free tells why [Store.WriteFile] may not write a file.
func (s *Store) Free(name string, replace Replace) error {
	n := s.note(name)
	if _, err := s.free(name, "", replace, n.Sum, n.Was); err != nil {
		return fmt.Errorf("%s: %w", s.root.Name(), Cause(err))
	}
	return nil
}

// WriteFile writes a file, whole or not at all; one that is there and the same
// stays as it is.
func (s *Store) WriteFile(name string, write func(io.Writer) error) error {
	temp := s.Temp(name)
	defer s.root.Remove(temp)
	var n Note
	var err error
	if n.Sum, err = s.Write(temp, write); err == nil {
		err = s.sync(temp)
	}
	there, _ := s.sum(name)
	if old := s.note(name); there == old.Sum || there == old.Was {
		n.Was = there
	}
	if err == nil && there != n.Sum {
		// Noted before: where the run is ended between, the next one must know what is
		// there. It makes a result anew just the same, but not this.
		if err = s.writeNote(name, n); err == nil {
			err = s.root.Rename(temp, name)
		}
	}
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", filepath.Join(s.root.Name(), name), Cause(err))
	}
	return nil
}

// sum is that of a file.
func (s *Store) sum(name string) (string, error) {
	f, err := s.root.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	return Sum(f)
}

// Sum is that of all that r has: what is the same has the same.
func Sum(r io.Reader) (string, error) {
	h := sha256.New()
	_, err := io.Copy(h, r)
	return hex.EncodeToString(h.Sum(nil)), err
}
