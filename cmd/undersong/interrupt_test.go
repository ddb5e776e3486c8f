//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestInterruptedWaiting: a signal ends also a command that waits for its input,
// whichever it is, and nothing is written.
func TestInterruptedWaiting(t *testing.T) {
	for code, all := range map[int][]string{
		exitError: {
			"study PIPE", "voice PIPE -o OUT.xml", "check PIPE", "refit PIPE -o OUT.xml", "fit PIPE", "audition PIPE -o OUT.mid",
			"voice SONG -o OUT.xml --plan PIPE", "voice SONG -o OUT.xml --tower PIPE", "tower check PIPE", "songbook merge PIPE -o OUT",
		},
		exitInterrupted: {"songbook PIPE -o OUT", "songbook SONGS -o OUT --tower PIPE"},
	} {
		for _, line := range all {
			folder := t.TempDir()
			pipe := filepath.Join(folder, "pipe")
			if err := syscall.Mkfifo(pipe, 0o644); err != nil {
				t.Fatal(err)
			}
			song := filepath.Join("..", "..", "examples", "nets-in-the-loft", "nets-in-the-loft.musicxml")
			args := strings.Fields(strings.NewReplacer("PIPE", pipe, "SONGS", filepath.Dir(song), "SONG", song, "OUT", filepath.Join(folder, "out")).Replace(line))
			cmd, errs := commandProcess(t, args...)
			var to *os.File
			for tries := 0; to == nil; tries++ { // until the command opens it
				if tries == 4000 {
					t.Fatalf("%s: does not open the pipe: %s", line, errs)
				}
				time.Sleep(5 * time.Millisecond)
				to, _ = os.OpenFile(pipe, os.O_WRONLY|syscall.O_NONBLOCK, 0) // fails until then
			}
			late := time.AfterFunc(5*time.Second, func() { _ = cmd.Process.Kill() })
			if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
				t.Fatal(err)
			}
			_ = cmd.Wait() // how it went is asked below
			if got := cmd.ProcessState.ExitCode(); !late.Stop() || got != code || errs.String() != "undersong: interrupted: nothing is written\n" {
				t.Errorf("%s: exit %d, want %d: %s", line, got, code, errs)
			}
			to.Close()
			if left, err := filepath.Glob(filepath.Join(folder, "*")); err != nil || len(left) != 1 {
				t.Errorf("%s: %v is left, %v", line, left, err)
			}
		}
	}
}
