package musicxml

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// packed is an archive of scores with the given entries, each titled with its
// name, and of a container under that name.
func packed(t *testing.T, containerName, container string, entries ...string) []byte {
	t.Helper()
	var raw bytes.Buffer
	z := zip.NewWriter(&raw)
	add := func(name, text string) {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if containerName != "" {
		add(containerName, container)
	}
	for _, name := range entries {
		add(name, titled(name))
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return raw.Bytes()
}

func titled(title string) string {
	return `<score-partwise><work><work-title>` + title + `</work-title></work>` +
		`<part id="P1"><measure number="1"><note><rest/><duration>1</duration></note></measure></part></score-partwise>`
}

// TestContainer: of several entries the one is read that the container names,
// however it does; where it names none, all are told.
func TestContainer(t *testing.T) {
	const usual = "META-INF/container.xml"
	root := func(name string) string {
		return `<container><rootfiles><rootfile full-path="` + name + `"/></rootfiles></container>`
	}
	for _, c := range []struct {
		name, containerName, container, score string
	}{
		{"percent escapes", usual, root("my%20score.musicxml"), "my score.musicxml"},
		{"percent in a name", usual, root("100%25.musicxml"), "100%25.musicxml"},
		{"no percent escape", usual, root("100%.musicxml"), "100%.musicxml"},
		{"absolute", usual, root("/score.musicxml"), "score.musicxml"},
		{"from here", usual, root("./dir//score.musicxml"), "dir/score.musicxml"},
		{"backslash", usual, root(`dir\score.musicxml`), "dir/score.musicxml"},
		{"backslash in the archive", usual, root(`dir/score.musicxml`), `dir\score.musicxml`},
		{"other case", usual, root("Score.MusicXML"), "score.musicxml"},
		{"character references", usual, root("&#x67;l&#246;ckchen.musicxml"), "glöckchen.musicxml"},
		{"lower-case folder", "meta-inf/container.xml", root("score.musicxml"), "score.musicxml"},
		{"backslash folder", `META-INF\container.xml`, root("score.musicxml"), "score.musicxml"},
		{"comment", usual, `<container><!-- <rootfile full-path="a.musicxml"/> --><rootfile full-path="score.musicxml"/></container>`, "score.musicxml"},
		{"character data", usual, `<container><![CDATA[<rootfile full-path="a.musicxml"/>]]><rootfile full-path="score.musicxml"/></container>`, "score.musicxml"},
		{"attribute with >", usual, `<container><rootfile title="a > b" full-path="score.musicxml"/></container>`, "score.musicxml"},
		{"attribute like a path", usual, `<container><rootfile title="full-path='a.musicxml'" full-path="score.musicxml"/></container>`, "score.musicxml"},
		{"cut off after the root", usual, `<container><rootfile full-path="score.musicxml"/><`, "score.musicxml"},
	} {
		t.Run(c.name, func(t *testing.T) {
			raw := packed(t, c.containerName, c.container, "a.musicxml", c.score, "z.musicxml")
			doc, err := Read(bytes.NewReader(raw), "song.mxl", Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if got := doc.Score().Title; got != c.score {
				t.Errorf("read %q, want %q", got, c.score)
			}
		})
	}
	for name, container := range map[string]string{
		"missing": root("lost.musicxml"), "damaged": "<container><rootfile full-path=", "empty": "<container/>",
		"long": "<container>" + strings.Repeat(" ", mostContainer) + "</container>",
	} {
		_, err := Read(bytes.NewReader(packed(t, usual, container, "a.musicxml", "b.xml")), "song.mxl", Limits{})
		if err == nil || !strings.Contains(err.Error(), `2 entries may be one ("a.musicxml", "b.xml")`) {
			t.Errorf("%s: error %v, want both entries", name, err)
		}
		if _, err := Read(bytes.NewReader(packed(t, usual, container, "a.musicxml")), "song.mxl", Limits{}); err != nil {
			t.Errorf("%s, with one entry: %v", name, err)
		}
	}
	_, err := Read(bytes.NewReader(packed(t, usual, root("lost.musicxml"), "a.txt")), "song.mxl", Limits{})
	if err == nil || !strings.Contains(err.Error(), `names "lost.musicxml", which is not in it`) {
		t.Errorf("no entry: error %v", err)
	}
}

// TestManyEntries: an error does not name more entries than one can read.
func TestManyEntries(t *testing.T) {
	var entries []string
	for i := range 50 {
		entries = append(entries, fmt.Sprintf("%d.xml", i))
	}
	_, err := Read(bytes.NewReader(packed(t, "META-INF/container.xml", "<container/>", entries...)), "song.mxl", Limits{})
	if err == nil || !strings.Contains(err.Error(), `50 entries`) || strings.Contains(err.Error(), `"8.xml"`) {
		t.Errorf("error %v", err)
	}
}

// TestLimitsOfArchives: the largest limits do not overflow, small ones hold.
func TestLimitsOfArchives(t *testing.T) {
	long := titled("long") + strings.Repeat(" ", freeSize)
	var raw bytes.Buffer
	z := zip.NewWriter(&raw)
	w, err := z.Create("score.musicxml")
	if err == nil {
		_, err = w.Write([]byte(long))
	}
	if err = errors.Join(err, z.Close()); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		limits Limits
		want   string
	}{
		{Limits{Bytes: math.MaxInt64, Ratio: math.MaxInt64}, ""},
		{Limits{Ratio: math.MaxInt64}, ""},
		{Limits{Ratio: 1<<62 + 1}, ""},
		{Limits{Ratio: 2}, "2 times its size: raise that limit"},
		{Limits{Bytes: freeSize, Ratio: math.MaxInt64}, "bytes of score: raise that limit"},
	} {
		_, err := Read(bytes.NewReader(raw.Bytes()), "song.mxl", c.limits)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%+v: error %v, want %q", c.limits, err, c.want)
		}
	}
}

// soon is a context that is done after being asked so many times.
type soon struct {
	context.Context
	left int
}

func (s *soon) Err() error {
	if s.left--; s.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestCancelledUnpacking: whenever reading an archive is stopped, the error is
// the context's and gives no advice about the archive.
func TestCancelledUnpacking(t *testing.T) {
	raw := packed(t, "META-INF/container.xml", `<container><rootfile full-path="score.musicxml"/></container>`, "score.musicxml")
	for asked := range 100 {
		_, err := ReadContext(&soon{t.Context(), asked}, bytes.NewReader(raw), "song.mxl", Limits{})
		if err == nil {
			if asked < 5 {
				t.Errorf("the context was asked only %d times", asked)
			}
			return
		}
		if !errors.Is(err, context.Canceled) || err.Error() != "song.mxl: context canceled" {
			t.Errorf("stopped after %d: error %v", asked, err)
		}
	}
	t.Error("reading never ends")
}

// TestFarTooManyEntries: names are not looked up among any number of entries.
func TestFarTooManyEntries(t *testing.T) {
	var raw bytes.Buffer
	z := zip.NewWriter(&raw)
	for i := range mostEntries + 1 {
		if _, err := z.CreateRaw(&zip.FileHeader{Name: fmt.Sprint(i, ".xml")}); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	_, err := Read(&raw, "song.mxl", Limits{})
	if err == nil || !strings.Contains(err.Error(), "the archive has 10001 entries, over the limit of 10000") {
		t.Errorf("error %v", err)
	}
}
