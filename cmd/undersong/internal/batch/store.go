package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

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
	// Beside are the endings of files that were written besides: the temporary
	// file's name, and then the result's, has each added.
	Beside []string `json:"beside,omitempty"`
	Row    songbook.Row
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

// Done is the row of a result that is there, with what was made beside it, and was
// made of what has this hash.
// It may have been changed by hand since.
func (s *Store) Done(out, hash string) (songbook.Row, bool) {
	info, err := s.root.Stat(out)
	if err != nil || !info.Mode().IsRegular() {
		return songbook.Row{}, false
	}
	note := s.note(out)
	for _, ending := range note.Beside {
		if _, err := s.root.Stat(out + ending); err != nil {
			return songbook.Row{}, false
		}
	}
	return note.Row, note.Hash == hash
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

// Put gives a temporary file its name, once it is on the disk, and notes what it
// was made of.
func (s *Store) Put(temp, out string, n Note, replace Replace) error {
	defer s.root.Remove(temp) // it is not there any more if all goes well
	there, err := s.sum(out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case there == n.Sum:
		return s.writeNote(out, n)
	case replace == ReplaceOurs && s.note(out).Sum == "":
		return fmt.Errorf("%s is there already and nothing tells what it was made of: it stays, --resume --force replaces it", Shown(out))
	case replace == ReplaceNone || replace == ReplaceOurs && there != s.note(out).Sum:
		return fmt.Errorf("%s is there already and an earlier run has not left it so: it stays, --resume --force replaces it", Shown(out))
	}
	if err := s.root.MkdirAll(filepath.Dir(out), 0o755); err != nil {
		return err
	}
	if err := s.place(temp, out); err != nil {
		return err
	}
	return s.writeNote(out, n)
}

// PutBeside gives the files beside a temporary one their names: what is there is
// replaced, but in a folder's first run.
func (s *Store) PutBeside(temp, out string, endings []string, replace Replace) error {
	for _, ending := range endings {
		if _, err := s.root.Lstat(out + ending); err == nil && replace == ReplaceNone {
			return fmt.Errorf("%s is there already: it stays, --resume --force replaces it", Shown(out+ending))
		}
		if err := s.root.MkdirAll(filepath.Dir(out), 0o755); err != nil {
			return err
		}
		if err := s.place(temp+ending, out+ending); err != nil {
			return err
		}
	}
	return nil
}

// place brings a temporary file to the disk and gives it its name.
func (s *Store) place(temp, name string) error {
	f, err := s.root.Open(temp)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	return s.root.Rename(temp, name)
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

// WriteFile writes a file, whole or not at all; one that is there and the same
// stays as it is.
func (s *Store) WriteFile(name string, write func(io.Writer) error) error {
	temp := s.Temp(name)
	defer s.root.Remove(temp)
	sum, err := s.Write(temp, write)
	if err == nil {
		if there, errThere := s.sum(name); errThere == nil && there == sum {
			return nil
		}
		err = s.place(temp, name)
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
	h := sha256.New()
	_, err = io.Copy(h, f)
	return hex.EncodeToString(h.Sum(nil)), err
}
