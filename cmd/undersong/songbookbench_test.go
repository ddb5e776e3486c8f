package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// BenchmarkSongbook: a folder of 200 scores, copies of the shared ones where they
// are here; beside it what libxml2 takes only to read them, as a measure of the
// machine.
func BenchmarkSongbook(b *testing.B) {
	in := b.TempDir()
	sources, err := filepath.Glob("../../../shared/scores/*.musicxml")
	if err != nil || len(sources) == 0 {
		b.Skip("SKIPPED: ../shared/scores are not here")
	}
	var files []string
	size := int64(0)
	for i := range 200 {
		text, err := os.ReadFile(sources[i%len(sources)])
		if err != nil {
			b.Fatal(err)
		}
		files = append(files, filepath.Join(in, fmt.Sprint(i/20), fmt.Sprintf("%d.musicxml", i)))
		writeFile(b, files[i], text)
		size += int64(len(text))
	}
	for _, jobs := range []string{"1", "2"} {
		b.Run("jobs="+jobs, func(b *testing.B) {
			b.SetBytes(size)
			for b.Loop() {
				out := b.TempDir()
				var errs strings.Builder
				if code := run([]string{"undersong", "songbook", in, "-o", out, "--jobs", jobs}, strings.NewReader(""), io.Discard, &errs); code != 0 {
					b.Fatal(errs.String())
				}
			}
		})
	}
	b.Run("xmllint", func(b *testing.B) {
		b.SetBytes(size)
		for b.Loop() {
			if out, err := exec.Command("xmllint", append([]string{"--noout"}, files...)...).CombinedOutput(); err != nil {
				b.Skipf("%v: %s", err, out)
			}
		}
	})
}
