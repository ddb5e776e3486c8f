package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// songs makes a folder of so many copies of small scores, each its own.
func songs(t testing.TB, n int) (folder string) {
	t.Helper()
	folder = t.TempDir()
	var texts [][]byte
	for _, name := range []string{"nets-in-the-loft", "evening-on-the-sound"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "examples", name, name+".musicxml"))
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, text)
	}
	for i := range n {
		text := bytes.Replace(texts[i%len(texts)], []byte("</work-title>"), fmt.Appendf(nil, " %d</work-title>", i), 1)
		writeFile(t, filepath.Join(folder, fmt.Sprint(i%5), fmt.Sprintf("%d.musicxml", i)), text)
	}
	return folder
}

func writeFile(t testing.TB, path string, text []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
}

// results are the scores of a folder of results by path, nil where it is not there,
// and what is in the way of another run.
func results(t *testing.T, out string) (scores map[string]string, temporary []string) {
	t.Helper()
	if _, err := os.Stat(out); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	scores = tree(t, out)
	for path := range scores {
		if strings.Contains(path, "temp") {
			temporary = append(temporary, path)
		}
		if strings.HasPrefix(path, ".songbook") || strings.HasPrefix(path, "songbook.") {
			delete(scores, path)
		}
	}
	return scores, temporary
}

// undisturbed are the results of a run that nothing disturbs.
func undisturbed(t *testing.T, in string, args ...string) map[string]string {
	t.Helper()
	out := t.TempDir()
	if code, _, errs := songbookRun(t, append(args, in, "-o", out)...); code != 0 {
		t.Fatalf("exit %d: %s", code, errs)
	}
	scores, _ := results(t, out)
	return scores
}

// songbookProcess starts a songbook as a process of its own.
func songbookProcess(t *testing.T, args ...string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	return commandProcess(t, append([]string{"songbook"}, args...)...)
}

// commandProcess starts a command as a process of its own.
func commandProcess(t *testing.T, args ...string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	cmd := exec.Command(os.Args[0], args...)
	errs := &bytes.Buffer{}
	cmd.Stderr = errs
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, errs
}

// awaitResults waits until there are so many.
func awaitResults(t *testing.T, out string, n int) {
	t.Helper()
	for range 1000 {
		if found, err := filepath.Glob(filepath.Join(out, "*", "*.musicxml")); err == nil && len(found) >= n {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatalf("there are no %d results", n)
}

// TestSongbookKilled: whatever moment a run is killed at, every result is whole or
// absent, and going on makes those of a run that was not killed.
//
//	UNDERSONG_KILLS=200   how often; 5 without
func TestSongbookKilled(t *testing.T) {
	in, out := songs(t, 40), filepath.Join(t.TempDir(), "out")
	begun := time.Now()
	want := undisturbed(t, in)
	whole := time.Since(begun)
	kills, finished, some := number(t, "UNDERSONG_KILLS", 5), 0, 0
	for range kills {
		cmd, _ := songbookProcess(t, in, "-o", out, "--resume", "--jobs", "2")
		time.Sleep(rand.N(whole / 2))
		if err := cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
			t.Fatal(err)
		}
		_ = cmd.Wait() // it was killed
		got, _ := results(t, out)
		for path, text := range got {
			if text != want[path] {
				t.Errorf("%s is not whole: %d bytes of %d", path, len(text), len(want[path]))
			}
		}
		switch {
		case len(got) == len(want):
			finished++
			if err := os.RemoveAll(out); err != nil {
				t.Fatal(err)
			}
		case len(got) > 0:
			some++
		}
	}
	if code, _, errs := songbookRun(t, in, "-o", out, "--resume"); code != 0 {
		t.Fatalf("exit %d: %s", code, errs)
	}
	got, temporary := results(t, out)
	if diff := cmp.Diff(want, got); diff != "" || len(temporary) > 0 {
		t.Errorf("%v is left; %s", temporary, diff)
	}
	t.Logf("%d kills: %d with some results done, %d with all, %d with none", kills, some, finished, kills-some-finished)
}

// TestSongbookInterrupted: Ctrl-C, and what schedulers send, ends a run at once
// with nothing in work, and says how to go on.
func TestSongbookInterrupted(t *testing.T) {
	in := songs(t, 200)
	for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
		out := filepath.Join(t.TempDir(), "out")
		cmd, errs := songbookProcess(t, in, "-o", out, "--jobs", "2")
		awaitResults(t, out, 5)
		if err := cmd.Process.Signal(signal); err != nil {
			t.Skip(err)
		}
		begun := time.Now()
		err := cmd.Wait()
		if took := time.Since(begun); took > 3*time.Second {
			t.Errorf("%v: it took %v", signal, took)
		}
		if cmd.ProcessState.ExitCode() != exitInterrupted || !strings.Contains(errs.String(), "with --resume goes on from here") || strings.Count(errs.String(), "\n") != 1 {
			t.Errorf("%v: %v: %s", signal, err, errs)
		}
		scores, temporary := results(t, out)
		if len(temporary) > 0 || len(scores) == 200 || !strings.Contains(errs.String(), fmt.Sprintf("%d of 200 are done", len(scores))) {
			t.Errorf("%v: %d scores, %v is left: %s", signal, len(scores), temporary, errs)
		}
	}
}

// TestSongbookTwice: of two runs into one folder the second is refused, and the
// first not disturbed.
func TestSongbookTwice(t *testing.T) {
	in, out := songs(t, 60), filepath.Join(t.TempDir(), "out")
	want := undisturbed(t, in)
	cmd, errs := songbookProcess(t, in, "-o", out)
	awaitResults(t, out, 1)
	code, _, refused := songbookRun(t, in, "-o", out, "--resume")
	if code != exitError || !strings.Contains(refused, "another run is at work there") || strings.Count(refused, "\n") != 1 {
		t.Errorf("exit %d: %s", code, refused)
	}
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v: %s", err, errs)
	}
	got, _ := results(t, out)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// TestSongbookOfChangingFiles: files that change while they are read fail or are
// one of the two, and are right once they rest.
func TestSongbookOfChangingFiles(t *testing.T) {
	in, out := songs(t, 12), t.TempDir()
	files, err := filepath.Glob(filepath.Join(in, "*", "*.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	stop, stopped := make(chan bool), make(chan bool)
	go func() { // each file grows and shrinks, and one comes and goes
		defer close(stopped)
		texts := tree(t, in)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			file := files[i%len(files)]
			rel, _ := filepath.Rel(in, file)
			text := texts[rel]
			_ = os.WriteFile(file, []byte(text[:len(text)/2]), 0o644)
			if i%len(files) == 0 {
				_ = os.Remove(file)
			}
			_ = os.WriteFile(file, []byte(text), 0o644)
		}
	}()
	failed := 0
	for range 3 {
		_, s, _ := songbookRun(t, in, "-o", out, "--resume")
		failed += s.Failed
	}
	close(stop)
	<-stopped
	if code, _, errs := songbookRun(t, in, "-o", out, "--resume"); code != 0 {
		t.Errorf("exit %d: %s", code, errs)
	}
	got, _ := results(t, out)
	if diff := cmp.Diff(undisturbed(t, in), got); diff != "" {
		t.Error(diff)
	}
	t.Logf("%d of 36 readings failed", failed)
}

// TestSongbookCannotWrite: where a folder cannot be written to is one line, where
// a result cannot be is its row.
func TestSongbookCannotWrite(t *testing.T) {
	in, out := songs(t, 10), t.TempDir()
	writeFile(t, filepath.Join(out, "file"), nil)
	code, _, errs := songbookRun(t, in, "-o", filepath.Join(out, "file", "out"))
	if code != exitError || !strings.Contains(errs, "cannot be written to: not a directory") || strings.Count(errs, "\n") != 1 {
		t.Errorf("exit %d: %s", code, errs)
	}
	writeFile(t, filepath.Join(out, "1"), []byte("a file, where a folder would be"))
	if err := os.MkdirAll(filepath.Join(out, "2", "2.musicxml"), 0o755); err != nil {
		t.Fatal(err)
	}
	_, s, _ := songbookRun(t, in, "-o", out)
	if s.Failed != 3 {
		t.Errorf("%d failed", s.Failed)
	}
	for _, r := range s.Rows[:3] {
		if !strings.HasPrefix(r.Error, "the result cannot be written: ") {
			t.Errorf("%s: %q", r.Name, r.Error)
		}
	}
}
