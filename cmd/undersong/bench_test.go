package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"undersong/instrument"
	"undersong/score/musicxml"
	"undersong/voicing"
	"undersong/voicing/study"
)

// stages run a function of each stage of the command on scores of all sizes,
// sung and for piano alone: compare the results of several runs with benchstat.
func stages(b *testing.B, stage func(b *testing.B, text []byte)) {
	for _, kind := range []struct {
		name string
		sung bool
	}{{"sung", true}, {"unsung", false}} {
		for _, size := range []struct {
			name  string
			bytes int
		}{{"50kB", 50e3}, {"500kB", 500e3}, {"5MB", 5e6}, {"50MB", 50e6}} {
			b.Run(kind.name+"/"+size.name, func(b *testing.B) {
				if size.bytes > 5e6 && testing.Short() {
					b.Skip("SKIPPED: long, -short is set")
				}
				text := long(b, size.bytes, kind.sung)
				b.SetBytes(int64(len(text)))
				b.ReportAllocs()
				stage(b, text)
			})
		}
	}
}

var (
	measureElement = regexp.MustCompile(`(?s)\s*<measure .*?</measure>`)
	measureNumber  = regexp.MustCompile(`<measure number="[^"]*"`)
	lyricElement   = regexp.MustCompile(`(?s)\s*<lyric.*?</lyric>`)
)

// long is the example song with its measures again and again, numbered on,
// until it has so many bytes; without its words where sung is false.
func long(t testing.TB, bytesAtLeast int, sung bool) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(songDir, "lamp-for-the-late-boat.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	if !sung {
		text = lyricElement.ReplaceAll(text, nil)
	}
	all := measureElement.FindAllIndex(text, -1)
	var out bytes.Buffer
	out.Write(text[:all[0][0]])
	for n := 0; out.Len() < bytesAtLeast; n++ {
		m := all[n%len(all)]
		out.Write(measureNumber.ReplaceAll(text[m[0]:m[1]], []byte(`<measure number="`+strconv.Itoa(n+1)+`"`)))
	}
	out.Write(text[all[len(all)-1][1]:])
	return out.Bytes()
}

func readText(b *testing.B, text []byte) *musicxml.Document {
	b.Helper()
	doc, err := musicxml.Read(bytes.NewReader(text), "long", musicxml.Limits{})
	if err != nil {
		b.Fatal(err)
	}
	return doc
}

func BenchmarkRead(b *testing.B) {
	stages(b, func(b *testing.B, text []byte) {
		for b.Loop() {
			readText(b, text)
		}
	})
}

func BenchmarkStudy(b *testing.B) {
	stages(b, func(b *testing.B, text []byte) {
		s := readText(b, text).Score()
		tower, err := instrument.Named(instrument.Default)
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			study.Analyse(s, nil).Study(tower)
		}
	})
}

func BenchmarkVoice(b *testing.B) {
	stages(b, func(b *testing.B, text []byte) {
		s := readText(b, text).Score()
		for b.Loop() {
			if _, _, err := voicing.Voice(s, voicing.Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkWrite(b *testing.B) {
	stages(b, func(b *testing.B, text []byte) {
		doc := readText(b, text)
		s, _, err := voicing.Voice(doc.Score(), voicing.Options{})
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			if err := doc.Write(io.Discard, s); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkWhole is undersong voice from the file to the file.
func BenchmarkWhole(b *testing.B) {
	stages(b, func(b *testing.B, text []byte) {
		in := filepath.Join(b.TempDir(), "long.musicxml")
		if err := os.WriteFile(in, text, 0o600); err != nil {
			b.Fatal(err)
		}
		args := []string{"undersong", "voice", in, "--force", "-o", filepath.Join(b.TempDir(), "out.musicxml")}
		for b.Loop() {
			var told bytes.Buffer
			if code := run(args, nil, io.Discard, &told); code != 0 {
				b.Fatalf("exit status %d: %s", code, told.String())
			}
		}
	})
}
