package study

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"undersong/score/musicxml"
)

const song = "../../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml"

// longer is a file with its measures so many times, numbered on.
func longer(b testing.TB, path string, times int) []byte {
	b.Helper()
	text, err := os.ReadFile(filepath.FromSlash(path))
	if err != nil {
		b.Fatal(err)
	}
	first := bytes.Index(text, []byte("<measure"))
	last := bytes.LastIndex(text, []byte("</measure>")) + len("</measure>")
	body := regexp.MustCompile(`<measure number="\d+"`)
	n := 0
	var out bytes.Buffer
	out.Write(text[:first])
	for range times {
		out.Write(body.ReplaceAllFunc(text[first:last], func([]byte) []byte {
			n++
			return []byte(`<measure number="` + strconv.Itoa(n) + `"`)
		}))
	}
	out.Write(text[last:])
	return out.Bytes()
}

// BenchmarkStudy is for comparison with BenchmarkRead: a score of 500 kB or
// more is to be studied in less time than it is read.
func BenchmarkStudy(b *testing.B) {
	doc, err := musicxml.Read(bytes.NewReader(longer(b, song, 2)), "long", musicxml.Limits{})
	if err != nil {
		b.Fatal(err)
	}
	tower := tower(b, "47")
	for b.Loop() {
		Analyse(doc.Score(), nil).Study(tower)
	}
}

func BenchmarkRead(b *testing.B) {
	text := longer(b, song, 2)
	b.ReportMetric(float64(len(text))/1000, "kB")
	for b.Loop() {
		if _, err := musicxml.Read(bytes.NewReader(text), "long", musicxml.Limits{}); err != nil {
			b.Fatal(err)
		}
	}
}
