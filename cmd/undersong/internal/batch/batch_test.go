package batch

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undersong/voicing/songbook"
)

// TestMain: as a worker, this program does to each file what its name says.
func TestMain(m *testing.M) {
	if len(os.Args) < 3 || os.Args[1] != "worker" {
		os.Exit(m.Run())
	}
	store, err := OpenStore(os.Args[2], songbook.Shard{})
	if err == nil {
		limits := Limits{Time: 2 * time.Second, Memory: 256 << 20}
		if len(os.Args) > 3 { // hoarding takes its time on a busy machine
			limits.Time = time.Minute
		}
		err = Serve(os.Stdin, os.Stdout, limits, func(r Request, answer func(Answer)) {
			for i, result := range r.Results {
				misbehave(strings.TrimSuffix(filepath.Base(r.Name), ".xml"), i)
				var a Answer
				a.Hash = "made of " + r.Name
				a.Sum, a.Row.Error = write(store, result)
				answer(a)
			}
		})
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

func write(store *Store, r Result) (sum, fault string) {
	sum, err := store.Write(r.Temp, func(w io.Writer) error {
		_, err := w.Write(r.Out)
		return err
	})
	if err != nil {
		return "", err.Error()
	}
	return sum, ""
}

var hoard [][]byte

func misbehave(how string, result int) {
	switch how {
	case "panics":
		panic("many\nlines")
	case "panics-later":
		if result > 0 {
			panic("later")
		}
	case "sinks":
		debug.SetMaxStack(64 << 20) // lest the memory is past its limit before
		misbehave(how, result+1)
	case "loops":
		for {
			hoard = nil
		}
	case "hoards":
		for {
			hoard = append(hoard, bytes.Repeat([]byte("x"), 1<<20))
		}
	case "gorges": // and is done
		debug.SetGCPercent(400)
		hoard = append(hoard[:0:0], bytes.Repeat([]byte("x"), 100<<20))
		hoard = nil
	case "exits":
		os.Exit(0)
	case "is-killed":
		self, err := os.FindProcess(os.Getpid())
		if err == nil {
			err = self.Kill()
		}
		panic(err)
	}
}

func openStore(t *testing.T, folder string, shard songbook.Shard) *Store {
	t.Helper()
	s, err := OpenStore(folder, shard)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func lockedStore(t *testing.T, folder string) *Store {
	t.Helper()
	s := openStore(t, folder, songbook.Shard{})
	if err := s.Lock(); err != nil {
		t.Fatal(err)
	}
	return s
}

// TestRun: whatever a score does to its worker is a row with one line, and stops
// and harms no other.
func TestRun(t *testing.T) {
	out := t.TempDir()
	want := map[string]string{
		"panics":       "a fault of this program, which 'undersong voice' with this score shows whole: many (and 1 more)",
		"panics-later": "a fault of this program, which 'undersong voice' with this score shows whole: later",
		"sinks":        "runtime: goroutine stack exceeds 67108864-byte limit",
		"loops":        "it takes longer than 2s: --time-limit sets another limit",
		"exits":        "its worker ended",
		"is-killed":    "its worker was ended from outside (signal: killed): --resume tries it again",
		"not-read":     "no such place",
	}
	var files []File
	for name := range want {
		f := File{Name: name + ".xml", Rel: name + ".xml"}
		if name == "not-read" {
			f.Err = want[name]
		}
		files = append(files, f)
	}
	for i := range 40 {
		files = append(files, File{Name: fmt.Sprintf("deep/good-%d.xml", i), Rel: fmt.Sprintf("deep/good-%d.xml", i)})
	}
	settle(files)
	told := 0
	run := &Run{Store: lockedStore(t, out), Towers: []string{"23", "47"}, Jobs: 3, Command: []string{os.Args[0], "worker", out}, Progress: func(songbook.Row) { told++ }}
	rows, there, replaced := run.Do(context.Background(), files)
	if len(rows) != 2*len(files) || told != len(rows) || there != 0 || replaced != 0 {
		t.Errorf("%d rows of %d, %d told, %d kept, %d replaced", len(rows), 2*len(files), told, there, replaced)
	}
	for _, r := range rows {
		wanted := want[strings.TrimSuffix(r.Name, ".xml")]
		if r.Name == "panics-later.xml" && r.Tower == "23" {
			wanted = ""
		}
		if !strings.HasPrefix(r.Error, wanted) || (wanted == "") != (r.Error == "") || strings.Contains(r.Error, "\n") {
			t.Errorf("%s on %s: %q, want %q", r.Name, r.Tower, r.Error, wanted)
		}
		file := filepath.Join(r.Tower, strings.TrimSuffix(r.Name, ".xml")+".musicxml")
		text, err := os.ReadFile(filepath.Join(out, file))
		if wanted == "" && string(text) != file || wanted != "" && !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s has %q, %v", file, text, err)
		}
	}
	if left, err := filepath.Glob(filepath.Join(out, kept, "temp", "*")); err != nil || len(left) > 0 {
		t.Errorf("%v is left, %v", left, err)
	}
}

// TestRunHoards: a score that takes too much memory is a row with one line.
func TestRunHoards(t *testing.T) {
	out := t.TempDir()
	files := []File{{Name: "hoards.xml", Rel: "hoards.xml"}}
	settle(files)
	run := &Run{Store: lockedStore(t, out), Towers: []string{"23"}, Jobs: 1, Command: []string{os.Args[0], "worker", out, "slowly"}, Progress: func(songbook.Row) {}}
	rows, _, _ := run.Do(context.Background(), files)
	want := "it takes more than 256 MB of memory: --memory-limit sets another limit"
	if len(rows) != 1 || rows[0].Error != want {
		t.Errorf("%+v, want %q", rows, want)
	}
}

// TestRunGorges: what a score took and gave back is not held against the next.
func TestRunGorges(t *testing.T) {
	out := t.TempDir()
	var files []File
	for i := range 8 {
		files = append(files, File{Name: fmt.Sprintf("%d/gorges.xml", i), Rel: fmt.Sprintf("%d/gorges.xml", i)})
	}
	settle(files)
	run := &Run{Store: lockedStore(t, out), Towers: []string{"23"}, Jobs: 1, Command: []string{os.Args[0], "worker", out, "slowly"}, Progress: func(songbook.Row) {}}
	rows, _, _ := run.Do(context.Background(), files)
	for _, r := range rows {
		if r.Error != "" {
			t.Errorf("%s: %s", r.Name, r.Error)
		}
	}
}

// TestRunIsInterrupted: the end of the context ends the work at once, and what is
// told is whole.
func TestRunIsInterrupted(t *testing.T) {
	out := t.TempDir()
	files := []File{{Name: "loops.xml", Rel: "loops.xml"}}
	for i := range 1000 {
		files = append(files, File{Name: fmt.Sprintf("%d.xml", i), Rel: fmt.Sprintf("%d.xml", i)})
	}
	settle(files)
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	done, stopped := 0, time.Time{}
	run := &Run{Store: lockedStore(t, out), Towers: []string{"47"}, Jobs: 2, Command: []string{os.Args[0], "worker", out}, Progress: func(songbook.Row) {
		if done++; done == 20 {
			stopped = time.Now()
			stop()
		}
	}}
	rows, _, _ := run.Do(ctx, files)
	if took := time.Since(stopped); took > 1500*time.Millisecond {
		t.Errorf("it took %v", took)
	}
	if len(rows) < 20 || len(rows) > 900 {
		t.Errorf("%d rows", len(rows))
	}
	for _, r := range rows {
		if text, err := os.ReadFile(filepath.Join(out, strings.TrimSuffix(r.Name, ".xml")+".musicxml")); r.Error != "" || err != nil || len(text) == 0 {
			t.Errorf("%s: %q, %v", r.Name, r.Error, err)
		}
	}
}

// TestLock: a run of the whole list is alone, shards are alone in their part.
func TestLock(t *testing.T) {
	whole, first, second := songbook.Shard{}, songbook.Shard{K: 1, N: 2}, songbook.Shard{K: 2, N: 2}
	for _, test := range []struct {
		has, wants songbook.Shard
		free       bool
	}{
		{whole, whole, false}, {whole, first, false}, {first, whole, false}, {first, first, false}, {first, second, true},
	} {
		out := t.TempDir()
		a, b := openStore(t, out, test.has), openStore(t, out, test.wants)
		if a.Used() || b.Used() {
			t.Error("a new folder is used")
		}
		if err := a.Lock(); err != nil {
			t.Fatal(err)
		}
		if err := b.Lock(); (err == nil) != test.free {
			t.Errorf("%v has it, %v wants it: %v", test.has, test.wants, err)
		}
		a.Close()
		b.Close()
		if c := openStore(t, out, test.has); c.Lock() != nil || !c.Used() {
			t.Errorf("%v: it is not free again, or not used", test.has)
		}
	}
}

// TestPut: which files are replaced.
func TestPut(t *testing.T) {
	for _, test := range []struct {
		there   string // the file, "" of none
		note    string // what it was when it was noted, "" where it was not
		replace Replace
		want    string // "new", or a part of the error
	}{
		{"", "", ReplaceNone, "new"},
		{"new", "", ReplaceNone, "new"},
		{"old", "old", ReplaceNone, "is there already, an earlier run made it"},
		{"by hand", "", ReplaceNone, "nothing tells what it was made of"},
		{"old", "old", ReplaceOurs, "new"},
		{"by hand", "old", ReplaceOurs, "was changed since an earlier run made it"},
		{"by hand", "", ReplaceOurs, "nothing tells what it was made of"},
		{"by hand", "old", ReplaceAll, "new"},
	} {
		s := lockedStore(t, t.TempDir())
		if test.note != "" {
			put(t, s, test.note, ReplaceAll)
		}
		if test.there != "" {
			if err := s.root.WriteFile("a.musicxml", []byte(test.there), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		err := put(t, s, "new", test.replace)
		text, _ := s.root.ReadFile("a.musicxml")
		if test.want == "new" && (err != nil || string(text) != "new") {
			t.Errorf("%+v: %v, %q", test, err, text)
		}
		if test.want != "new" && (err == nil || !strings.Contains(err.Error(), test.want) || string(text) != test.there) {
			t.Errorf("%+v: %v, %q", test, err, text)
		}
		if _, done := s.Done("a.musicxml", "hash of new"); done != (test.want == "new") {
			t.Errorf("%+v: done is %v", test, done)
		}
	}
}

// TestLongNames: a result may have a name as long as a name can be.
func TestLongNames(t *testing.T) {
	s := lockedStore(t, t.TempDir())
	name := strings.Repeat("l", 246) + ".musicxml"
	sum, err := s.Write(s.Temp("x"), func(io.Writer) error { return nil })
	if err == nil {
		_, err = s.Put(s.Temp("x"), name, Note{Hash: "h", Sum: sum}, ReplaceNone)
	}
	if _, done := s.Done(name, "h"); err != nil || !done {
		t.Errorf("%v, done: %v", err, done)
	}
}

// TestDoneIsThere: what is gone is not done, whatever is noted of it; a file that
// would be the same stays the very same.
func TestDoneIsThere(t *testing.T) {
	s := lockedStore(t, t.TempDir())
	if err := put(t, s, "new", ReplaceNone); err != nil {
		t.Fatal(err)
	}
	if err := s.root.Remove("a.musicxml"); err != nil {
		t.Fatal(err)
	}
	if _, done := s.Done("a.musicxml", "hash of new"); done {
		t.Error("what is not there is done")
	}
	write := func(w io.Writer) error { _, err := io.WriteString(w, "all"); return err }
	before := os.FileInfo(nil)
	for range 2 {
		if err := s.WriteFile("b", write); err != nil {
			t.Fatal(err)
		}
		info, err := s.root.Stat("b")
		if err != nil || before != nil && !os.SameFile(before, info) {
			t.Errorf("%v: it is another file", err)
		}
		before = info
	}
}

func put(t *testing.T, s *Store, text string, replace Replace) error {
	t.Helper()
	sum, err := s.Write(s.Temp("x"), func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Put(s.Temp("x"), "a.musicxml", Note{Hash: "hash of " + text, Sum: sum}, replace)
	return err
}

// TestPutTogether: a score, its page and its report are replaced together or stay
// together.
func TestPutTogether(t *testing.T) {
	endings := []string{"", PageEnding, ReportEnding}
	putAll := func(s *Store, text string, replace Replace) (bool, error) {
		n := Note{Beside: map[string]string{}}
		for _, ending := range endings {
			sum, err := s.Write(s.Temp("x"+ending), func(w io.Writer) error {
				_, err := io.WriteString(w, text)
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
			if n.Beside[ending] = sum; ending == "" {
				n.Sum = sum
			}
		}
		delete(n.Beside, "")
		return s.Put(s.Temp("x"), "a.musicxml", n, replace)
	}
	for _, noted := range []bool{true, false} {
		for _, changed := range append(endings, "none") {
			s := lockedStore(t, t.TempDir())
			if noted {
				if replaced, err := putAll(s, "old", ReplaceNone); err != nil || replaced {
					t.Fatal(replaced, err)
				}
			}
			if changed != "none" {
				if err := s.root.WriteFile("a.musicxml"+changed, []byte("by hand"), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			replaced, err := putAll(s, "new", ReplaceOurs)
			if (err == nil) != (changed == "none") || replaced != (noted && changed == "none") {
				t.Errorf("%q changed, noted: %v; replaced: %v, %v", changed, noted, replaced, err)
			}
			for _, ending := range endings {
				want := "new"
				switch {
				case ending == changed:
					want = "by hand"
				case changed != "none" && noted:
					want = "old"
				case changed != "none":
					want = "" // not there
				}
				if text, _ := s.root.ReadFile("a.musicxml" + ending); string(text) != want {
					t.Errorf("%q changed, noted: %v; %q is %q, want %q", changed, noted, ending, text, want)
				}
			}
			if left, err := filepath.Glob(filepath.Join(s.root.Name(), s.temp, "*")); err != nil || len(left) > 0 {
				t.Errorf("%v is left, %v", left, err)
			}
		}
	}
}

// TestFree: a file of a run may be replaced by the next one, also where that was
// ended between its note and its file; what was changed since stays.
func TestFree(t *testing.T) {
	s := lockedStore(t, t.TempDir())
	write := func(text string) {
		t.Helper()
		if err := s.WriteFile("b", func(w io.Writer) error { _, err := io.WriteString(w, text); return err }); err != nil {
			t.Fatal(err)
		}
	}
	byHand := func(text string) {
		t.Helper()
		if err := s.root.WriteFile("b", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	free := func(want string, replace Replace) {
		t.Helper()
		if err := s.Free("b", replace); (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	free("", ReplaceNone)
	byHand("mine")
	free("nothing tells what it was made of", ReplaceNone)
	free("nothing tells what it was made of", ReplaceOurs)
	free("", ReplaceAll)
	write("first")
	byHand("mine")
	free("was changed since", ReplaceOurs)
	write("first")
	write("second")
	free("", ReplaceOurs)
	byHand("first") // as where the note of the second is there already
	free("", ReplaceOurs)
	byHand("mine")
	free("was changed since", ReplaceOurs)
}

// TestTornNote: what is noted of a result may be torn by a fault of the power; then
// it is not done.
func TestTornNote(t *testing.T) {
	s := lockedStore(t, t.TempDir())
	if err := put(t, s, "new", ReplaceNone); err != nil {
		t.Fatal(err)
	}
	text, err := s.root.ReadFile(noteOf("a.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	for n := range text {
		if err := s.root.WriteFile(noteOf("a.musicxml"), text[:n], 0o644); err != nil {
			t.Fatal(err)
		}
		if _, done := s.Done("a.musicxml", "hash of new"); done {
			t.Errorf("done by %q", text[:n])
		}
	}
}

// TestLinksLeadNowhere: links in the folder of results do not lead out of it.
func TestLinksLeadNowhere(t *testing.T) {
	outside := t.TempDir()
	s := lockedStore(t, t.TempDir())
	if err := os.Symlink(outside, filepath.Join(s.root.Name(), "a")); err != nil {
		t.Skip(err)
	}
	if err := os.Symlink(filepath.Join(outside, "x"), filepath.Join(s.root.Name(), "x.musicxml")); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"a/b.musicxml", "a/b/c.musicxml", "../b.musicxml", "x.musicxml"} {
		sum, err := s.Write(s.Temp("x"), func(io.Writer) error { return nil })
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Put(s.Temp("x"), name, Note{Sum: sum}, ReplaceAll); err == nil {
			t.Errorf("%s is written", name)
		}
	}
	locked := openStore(t, t.TempDir(), songbook.Shard{})
	if err := os.Symlink(filepath.Join(outside, "lock"), filepath.Join(locked.root.Name(), kept, "lock")); err != nil {
		t.Fatal(err)
	}
	if err := locked.Lock(); err == nil {
		t.Error("a lock is outside")
	}
	led := t.TempDir()
	if err := os.Symlink(outside, filepath.Join(led, kept)); err != nil {
		t.Fatal(err)
	}
	if s, err := OpenStore(led, songbook.Shard{}); err == nil {
		t.Errorf("%v: its own files would be outside", s.Close())
	}
	if left, err := os.ReadDir(outside); err != nil || len(left) > 0 {
		t.Errorf("%v, %v", left, err)
	}
}

func outs(files []File) (all []string) {
	for _, f := range files {
		all = append(all, fmt.Sprintf("%s -> %s %s", f.Name, f.Out, f.Err))
	}
	return all
}

// TestFolder: files at any depth, each with a result of its own.
func TestFolder(t *testing.T) {
	in := t.TempDir()
	for _, name := range []string{
		"song.xml", "song.musicxml", "song.mxl", "a/b/c/deep.MXL", "a/b/c/deep.xml", "notes.txt", ".hidden.xml", ".git/x.xml", "new\nline.xml", "two.xml", "two.xml.musicxml", "two.musicxml",
	} {
		path := filepath.Join(in, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, target := range map[string]string{"round": ".", "to-file.xml": "song.xml", "to-nothing.xml": "nothing", "round.xml": "a"} {
		if err := os.Symlink(target, filepath.Join(in, name)); err != nil {
			t.Skip(err)
		}
	}
	want := []string{
		"a/b/c/deep.MXL -> a/b/c/deep.MXL ", "a/b/c/deep.xml -> a/b/c/deep.musicxml ", "new\nline.xml -> new\nline.musicxml ",
		"song.musicxml -> song.musicxml ", "song.mxl -> song.mxl ", "song.xml -> song.xml.musicxml ",
		"to-file.xml -> to-file.musicxml ", "to-nothing.xml -> to-nothing.musicxml it is a link to nothing, which is not there",
		"two.musicxml -> two.musicxml ", "two.xml -> two.xml.musicxml ",
		"two.xml.musicxml ->  its result would be two.xml.musicxml, which is that of two.xml: give one of them another name, or leave it out",
	}
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(in, link); err != nil {
		t.Fatal(err)
	}
	for _, folder := range []string{in, link} {
		files, links, closed, err := Folder(folder, []string{".musicxml", ".xml", ".mxl"})
		if diff := cmp.Diff(want, outs(files)); diff != "" || err != nil || links != 2 || len(closed) > 0 {
			t.Errorf("%v, %d links, %v closed, %s", err, links, closed, diff)
		}
	}
}

// TestPaths: no name leads out of the folder of results.
func TestPaths(t *testing.T) {
	for list, want := range map[string][]string{
		"b.xml\na.mxl\r\n\nb.xml\n":    {"a.mxl -> a.mxl ", "b.xml -> b.musicxml "},
		"/x/a.mxl\n":                   {"/x/a.mxl -> x/a.mxl "},
		"../../a.mxl\n./../b/../c.mxl": {"../../a.mxl -> a.mxl ", "./../b/../c.mxl -> c.mxl "},
		"../a.mxl\na.mxl":              {"../a.mxl -> a.mxl ", "a.mxl ->  its result would be a.mxl, which is that of ../a.mxl: give one of them another name, or leave it out"},
		"a\nb.mxl\x00c.mxl\x00":        {"a\nb.mxl -> a\nb.mxl ", "c.mxl -> c.mxl "},
		" a.mxl \n":                    {"a.mxl -> a.mxl "},
		".songbook/temp/a.mxl":         {".songbook/temp/a.mxl -> .songbook/temp/a.mxl .songbook is a songbook's own: nothing in it is a score"},
	} {
		files, err := Paths(strings.NewReader(list))
		if diff := cmp.Diff(want, outs(files)); diff != "" || err != nil {
			t.Errorf("%q: %v, %s", list, err, diff)
		}
	}
}

func TestInside(t *testing.T) {
	in := t.TempDir()
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(in, link); err != nil {
		t.Skip(err)
	}
	for folder, want := range map[string]bool{
		in: true, in + "/a": true, link + "/a/b": true, in + "/../x": false, in + "x": false, filepath.Dir(in): false, in + "/..a": true,
	} {
		if Inside(folder, in) != want {
			t.Errorf("%s in %s: %v", folder, in, !want)
		}
	}
}

// TestCause: an error of the system says what to do, and is still what it was.
func TestCause(t *testing.T) {
	_, missing := os.Open(filepath.Join(t.TempDir(), "nothing"))
	_, long := os.Open(strings.Repeat("x", 5000))
	for want, err := range map[string]error{
		"no such file or directory: look at the name":   missing,
		"file name too long: give a shorter one":        long,
		"permission denied: get the right to it":        &fs.PathError{Op: "open", Path: "x", Err: syscall.EACCES},
		"no space left on device: make room there":      &os.LinkError{Op: "rename", Err: syscall.ENOSPC},
		"too many levels of symbolic links: a link lea": &fs.PathError{Op: "open", Path: "x", Err: syscall.ELOOP},
		"another": errors.New("another"),
	} {
		if got := Cause(err); !strings.HasPrefix(got.Error(), want) {
			t.Errorf("%v, want %s", got, want)
		}
	}
	if !errors.Is(Cause(missing), fs.ErrNotExist) || Cause(nil) != nil {
		t.Errorf("%v is another error", Cause(missing))
	}
}

// TestShown: different names are shown differently, each in a line.
func TestShown(t *testing.T) {
	names := []string{"a", "a\nb", `a\nb`, `"a\nb"`, "a\x1b[31m", "\xff", "é", "\u202e", `"`}
	var all []string
	for _, n := range names {
		shown := shown(n)
		if strings.ContainsAny(shown, "\n\x1b") || slices.Contains(all, shown) {
			t.Errorf("%q is shown as %s", n, shown)
		}
		all = append(all, shown)
	}
}

// TestProgressLines: without a terminal there is a line now and then.
func TestProgressLines(t *testing.T) {
	var b bytes.Buffer
	p := NewProgress(&b, false, 3)
	p.Row(songbook.Row{})
	if b.Len() > 0 {
		t.Errorf("at once: %s", b.String())
	}
	p.told = p.told.Add(-2 * between)
	p.began = p.began.Add(-time.Second)
	p.Row(Failed("a", "23", "x"))
	p.Row(Failed("a", "47", "x"))
	p.End()
	if got := b.String(); got != "failed: a: x\n2 of 3, 1 failed, 2.0 a second, 1s left\n" {
		t.Errorf("%q", got)
	}
}
