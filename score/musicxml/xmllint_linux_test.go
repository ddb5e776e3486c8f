package musicxml

import (
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// TestAgainstXmllint compares a whole process that reads a score, moves it by
// an octave and writes it with libxml2's xmllint, which only reads: the goals
// are its time and 14 times the size of the file in memory. It runs where
// UNDERSONG_SPEED is set, for times mean little beside other work; the test's own
// start takes a few milliseconds, which counts in the smallest file.
func TestAgainstXmllint(t *testing.T) {
	if path := os.Getenv("UNDERSONG_OCTAVE"); path != "" {
		octaveUp(t, path) // the process that is measured
		return
	}
	if os.Getenv("UNDERSONG_SPEED") == "" {
		t.Skip("SKIPPED: UNDERSONG_SPEED is not set")
	}
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Skip("SKIPPED: xmllint is not here")
	}
	for _, size := range sizes {
		path := filepath.Join(t.TempDir(), "long.musicxml")
		if err := os.WriteFile(path, long(t, size.bytes), 0o644); err != nil {
			t.Fatal(err)
		}
		theirs := best(t, size.bytes, "xmllint", "--noout", path)
		t.Setenv("UNDERSONG_OCTAVE", path)
		ours := best(t, size.bytes, os.Args[0], "-test.run=TestAgainstXmllint")
		os.Unsetenv("UNDERSONG_OCTAVE")
		memory := float64(ours.memory) / float64(size.bytes)
		t.Logf("%s: %.2f of xmllint's time, %.2f of its processor time; %.1f times the file in memory, xmllint %.1f",
			size.name, ratioOf(ours.wall, theirs.wall), ratioOf(ours.processor, theirs.processor), memory, float64(theirs.memory)/float64(size.bytes))
		if size.bytes >= 5e6 && memory > 14 {
			t.Errorf("%s: %.1f times the file in memory, the goal is 14", size.name, memory)
		}
	}
}

func ratioOf(a, b time.Duration) float64 { return a.Seconds() / b.Seconds() }

func octaveUp(t *testing.T, path string) {
	t.Helper()
	doc := readFile(t, path)
	out, err := os.Create(path + ".out")
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	if err := doc.Write(out, higher(doc.Score())); err != nil {
		t.Fatal(err)
	}
}

// cost is what a process took.
type cost struct {
	wall, processor time.Duration
	memory          int64 // bytes, at its peak
}

// best is the least that a command takes in some runs, fewer of long ones.
func best(t *testing.T, size int, name string, args ...string) cost {
	t.Helper()
	least := cost{wall: time.Hour, processor: time.Hour}
	for range max(3, min(20, 50_000_000/size)) {
		c := exec.Command(name, args...)
		start := time.Now()
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		least.wall = min(least.wall, time.Since(start))
		least.processor = min(least.processor, c.ProcessState.UserTime()+c.ProcessState.SystemTime())
		if usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
			least.memory = usage.Maxrss << 10
		}
	}
	return least
}
