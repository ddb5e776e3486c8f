package main

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestSongbookFillsTheDisk: on a disk that is full, or becomes so, what is written
// is whole and what is not is told; with room for it --resume makes the rest. Then
// the disk cannot be written to at all.
func TestSongbookFillsTheDisk(t *testing.T) {
	disk := t.TempDir()
	mount := func(flags uintptr, options string) {
		t.Helper()
		if err := syscall.Mount("tmpfs", disk, "tmpfs", flags, options); err != nil {
			t.Skipf("SKIPPED: no disk can be mounted: %v", err)
		}
	}
	mount(0, "size=512k")
	defer func() {
		if err := syscall.Unmount(disk, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	}()
	in, out := songs(t, 40), filepath.Join(disk, "out")
	want := undisturbed(t, in)
	code, s, errs := songbookRun(t, in, "-o", out)
	if code != exitError || len(s.Rows) != 40 || s.Failed == 0 || s.Failed == 40 || !strings.Contains(errs, "no space left on device") {
		t.Errorf("exit %d, %d rows, %d failed: %s", code, len(s.Rows), s.Failed, errs)
	}
	for _, r := range s.Rows {
		if r.Error != "" && r.Error != "the result cannot be written: no space left on device: make room there, or use another place" {
			t.Errorf("%s: %s", r.Name, r.Error)
		}
	}
	got, temporary := results(t, out)
	for path, text := range got {
		if text != want[path] {
			t.Errorf("%s is not whole", path)
		}
	}
	if len(temporary) > 0 {
		t.Errorf("%v is left", temporary)
	}

	mount(syscall.MS_REMOUNT, "size=64m")
	if code, _, errs := songbookRun(t, in, "-o", out, "--resume"); code != 0 {
		t.Fatalf("with room: exit %d: %s", code, errs)
	}
	if got, _ = results(t, out); !cmp.Equal(want, got) {
		t.Errorf("with room: %s", cmp.Diff(want, got))
	}

	mount(syscall.MS_REMOUNT|syscall.MS_RDONLY, "")
	code, _, errs = songbookRun(t, in, "-o", out, "--resume")
	if code != exitError || !strings.Contains(errs, "cannot be written to: read-only file system") || strings.Count(errs, "\n") != 1 {
		t.Errorf("exit %d: %s", code, errs)
	}
}
