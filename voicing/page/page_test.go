package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"undersong/instrument"
	"undersong/instrument/sound"
	"undersong/score"
	"undersong/score/musicxml"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/check"
	"undersong/voicing/compare"
	"undersong/voicing/study"
)

const song = "../../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml"

type writer interface{ Write(io.Writer) error }

// voiced is a page about a voicing of a score.
func voiced(t *testing.T, s *score.Score) *Voice {
	t.Helper()
	a := study.Analyse(s, nil)
	result, report, err := voicing.Voice(a.Score, voicing.Options{Tower: tower(t)})
	if err != nil {
		t.Fatal(err)
	}
	found, err := check.Score(result, check.Options{Tower: tower(t), Tune: report.Tune})
	if err != nil {
		t.Fatal(err)
	}
	return &Voice{Analysis: a, Tower: tower(t), Result: result, Report: report, Check: found}
}

func tower(t *testing.T) *instrument.Tower {
	t.Helper()
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	return tower
}

// allPages are a page of each kind, about one score.
func allPages(t *testing.T, s *score.Score) map[string]writer {
	t.Helper()
	v := voiced(t, s)
	if err := v.Engrave([]System{{drawing, 4}, {drawing, s.MeasureCount() - 4}}); err != nil {
		t.Fatal(err)
	}
	var rows []compare.Row
	var files []string
	for _, way := range compare.Variants(v.Analysis.Study(v.Tower)) {
		rows = append(rows, compare.Voice(way.Name, v.Analysis, way.Plan, voicing.Options{Tower: v.Tower}))
		files = append(files, way.Name+".musicxml")
	}
	return map[string]writer{
		"voice":    v,
		"study":    &Study{Analysis: v.Analysis, Tower: v.Tower, File: "song.musicxml"},
		"variants": &Variants{Analysis: v.Analysis, Tower: v.Tower, File: "song.musicxml", Rows: rows, Files: files},
	}
}

func written(t *testing.T, w writer) string {
	t.Helper()
	var b bytes.Buffer
	if err := w.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// elements are all of a page, in order.
func elements(t *testing.T, page string) []*html.Node {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var all []*html.Node
	for n := range root.Descendants() {
		if n.Type == html.ElementNode {
			all = append(all, n)
		}
	}
	return all
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// TestSelfContained: pages ask the network for nothing, their links lead to
// what is there, and the same score gives the same bytes.
func TestSelfContained(t *testing.T) {
	for name, page := range allPages(t, scoretest.Score(t, song)) {
		t.Run(name, func(t *testing.T) {
			text := written(t, page)
			if text != written(t, page) {
				t.Error("it is another page the second time")
			}
			if !strings.Contains(text, `content="default-src 'none'`) {
				t.Error("nothing forbids the page to ask the network")
			}
			ids := map[string]bool{}
			for _, e := range elements(t, text) {
				id := attribute(e, "id")
				if id != "" && ids[id] {
					t.Errorf("two elements have the ID %s", id)
				}
				ids[id] = true
			}
			for _, e := range elements(t, text) {
				if attribute(e, "src") != "" || e.Data == "link" {
					t.Errorf("<%s> asks for a file", e.Data)
				}
				href := attribute(e, "href")
				if target, ok := strings.CutPrefix(href, "#"); href != "" && (!ok || !ids[target]) {
					t.Errorf("a link leads to %s", href)
				}
			}
		})
	}
}

// TestNamesAreText: what a score is called is never markup.
func TestNamesAreText(t *testing.T) {
	const evil = `</title></script><script>alert(1)</script><img src=x onerror=alert(1)>`
	s := scoretest.Score(t, song)
	s.Title, s.Movement = evil, evil
	for _, p := range s.Parts {
		p.Name = evil
		for _, m := range p.Measures {
			m.Number += evil
			for _, d := range m.Directions {
				for i := range d.Signs {
					d.Signs[i].Text += evil
				}
			}
		}
	}
	clean := map[string]int{}
	for name, page := range allPages(t, scoretest.Score(t, song)) {
		clean[name] = scripts(t, written(t, page))
	}
	for name, page := range allPages(t, s) {
		text := written(t, page)
		if n := scripts(t, text); n != clean[name] {
			t.Errorf("%s: %d scripts, want %d", name, n, clean[name])
		}
		for _, e := range elements(t, text) {
			if e.Data == "img" || attribute(e, "onerror") != "" {
				t.Errorf("%s: a name became <%s>", name, e.Data)
			}
		}
	}
}

func scripts(t *testing.T, page string) (n int) {
	t.Helper()
	for _, e := range elements(t, page) {
		if e.Data == "script" {
			n++
		}
	}
	return n
}

// TestEveryMeasureIsShown: each has its column with both pictures, and its row
// of figures.
func TestEveryMeasureIsShown(t *testing.T) {
	v := voiced(t, scoretest.Score(t, song))
	pictures := map[string]int{}
	rows := 0
	for _, e := range elements(t, written(t, v)) {
		if e.Data == "svg" && strings.HasPrefix(attribute(e, "class"), "pic ") {
			pictures[attribute(e.Parent.Parent, "id")]++
		}
		if e.Data == "section" && attribute(e, "id") == "course" {
			for n := range e.Descendants() {
				if n.Data == "tr" {
					rows++
				}
			}
		}
	}
	for i := range v.Result.MeasureCount() {
		if n := pictures[fmt.Sprintf("m%d", i)]; n != 2 {
			t.Errorf("measure %s has %d pictures, want 2", v.Result.Parts[0].Measures[i].Number, n)
		}
	}
	if want := v.Result.MeasureCount() + 1; rows != want {
		t.Errorf("%d rows of figures, want %d", rows, want)
	}
}

// TestLongPiecesStayLight: a page about 300 measures is under 2 MB, its audition
// counted. The limit is the project's own.
func TestLongPiecesStayLight(t *testing.T) {
	text, err := os.ReadFile(song)
	if err != nil {
		t.Fatal(err)
	}
	parts := regexp.MustCompile(`(?s)(<part [^>]*>)(.*?)(</part>)`).ReplaceAll(text, []byte("$1$2$2$2$2$2$3"))
	doc, err := musicxml.Read(bytes.NewReader(parts), "song five times", musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	v := voiced(t, doc.Score())
	page := written(t, v)
	if n := v.Result.MeasureCount(); n != 300 || strings.Contains(page, "Audition</dt>") {
		t.Fatalf("%d measures, want 300, with an audition", n)
	}
	t.Logf("%d kB", len(page)/1000)
	if len(page) > 2_000_000 {
		t.Errorf("%d bytes", len(page))
	}
}

// TestAuditionOfThePage: the page plays the strokes of the result in the order
// of performance, each with a bell, none louder than the loudest.
func TestAuditionOfThePage(t *testing.T) {
	v := voiced(t, scoretest.Score(t, song))
	var a audition
	for _, e := range elements(t, written(t, v)) {
		if attribute(e, "id") == "strokes" {
			if err := json.Unmarshal([]byte(e.FirstChild.Data), &a); err != nil {
				t.Fatal(err)
			}
		}
	}
	played, err := v.Result.Performed()
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Measures) != len(played.Order) || len(a.Begins) != len(a.Measures)+1 {
		t.Errorf("%d measures with %d times, want %d", len(a.Measures), len(a.Begins), len(played.Order))
	}
	tune := 0
	for i, key := range a.Keys {
		if len(a.Bells[key]) == 0 {
			t.Errorf("stroke %d: key %d has no bell", i, key)
		}
		if i > 0 && a.Times[i] < a.Times[i-1] {
			t.Errorf("stroke %d comes before the last", i)
		}
		tune += a.Melody[i]
	}
	if n := len(a.Keys); n == 0 || len(a.Times) != n || len(a.Levels) != n || len(a.Melody) != n {
		t.Errorf("%d keys, %d times, %d levels, %d of them melody", n, len(a.Times), len(a.Levels), len(a.Melody))
	}
	if tune < v.Report.Melody.Notes {
		t.Errorf("%d strokes are melody, of %d notes", tune, v.Report.Melody.Notes)
	}
	strokes, _ := sound.Strokes(played, v.Tower, nil)
	loudest := -1000.0
	for i, s := range strokes {
		if want := v.Tower.Dynamics * s.Marks; math.Abs(float64(a.Levels[i])/10-want) > 0.06 || a.Keys[i] != s.Key {
			t.Fatalf("stroke %d: key %d at %.1f dB, not %d at %.1f", i, a.Keys[i], float64(a.Levels[i])/10, s.Key, want)
		}
		power := 0.0
		for _, p := range a.Bells[s.Key] {
			power += math.Pow(10, p[2]/10)
		}
		loudest = max(loudest, 10*math.Log10(power)+float64(a.Levels[i])/10)
	}
	if math.Abs(loudest) > 0.1 {
		t.Errorf("the loudest stroke has %.2f dB, not 0", loudest)
	}
}

// TestMarks: what the pictures draw of a score, note by note: round heads and
// broad tails of the melody, stems of the feet, empty heads of what is left out,
// strokes through what has no key.
func TestMarks(t *testing.T) {
	v := voiced(t, scoretest.Score(t, song))
	before := source(v.Analysis, func(tone *score.Tone) bool { return v.Report.LeftOut(tone) != "" })
	after := v.result()
	count := func(m *music, is func(mark) bool) (n int) {
		for i, marks := range m.marks {
			for _, k := range marks {
				if k.measure == i && is(k) {
					n++
				}
			}
		}
		return n
	}
	n := v.Report.Notes
	if got := count(before, func(k mark) bool { return k.leftOut }); got != n.LeftOut {
		t.Errorf("%d notes are left out before, of %d", got, n.LeftOut)
	}
	if got := count(after, func(k mark) bool { return k.tune }); got != v.Report.Melody.Notes {
		t.Errorf("%d notes are melody after, of %d", got, v.Report.Melody.Notes)
	}
	feet := 0
	for _, tone := range v.Result.Tones() {
		if tone.First().Staff == 2 && tone.First().Plays() {
			feet++
		}
	}
	if got := count(after, func(k mark) bool { return k.foot }); got != feet || feet == 0 {
		t.Errorf("%d notes have stems of the feet, of %d", got, feet)
	}
	if got := count(after, func(k mark) bool { return k.missing || k.leftOut }); got > 0 {
		t.Errorf("%d notes have no key", got)
	}
	for name, want := range map[string]func(m marks) bool{
		"tune":    func(m marks) bool { return m.TuneHeads != "" && m.TuneTails != "" && m.Heads == "" },
		"plain":   func(m marks) bool { return m.Heads != "" && m.Tails != "" && m.TuneHeads == "" },
		"foot":    func(m marks) bool { return m.Feet != "" },
		"leftOut": func(m marks) bool { return m.Out != "" && m.Heads == "" },
		"missing": func(m marks) bool { return m.Missing != "" },
	} {
		k := mark{to: score.Quarter, key: 60, tune: name == "tune", foot: name == "foot", leftOut: name == "leftOut", missing: name == "missing"}
		m := &music{low: 60, high: 60, starts: []score.Time{{}, score.Quarter}, marks: [][]mark{{k}}}
		if got := m.draw(0); !want(got) {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// TestCourse: the figures along the piece are those of the check, and blur beyond
// the limit is drawn apart.
func TestCourse(t *testing.T) {
	v := voiced(t, scoretest.Score(t, song))
	a := v.Analysis
	c := newCourse(v.Check, sections(a.Study(v.Tower)), a.Sections)
	for i, f := range c.Figures {
		m := v.Check.Measures[i]
		if f.Number != m.Number || f.Strokes != m.Strokes || f.Blur != fmt.Sprintf("%.1f", m.Blur) {
			t.Errorf("measure %s: %+v", m.Number, f)
		}
	}
	much := 0
	for _, m := range v.Check.Measures {
		if m.Blur > 1 {
			much++
		}
	}
	drawn := 0
	for _, r := range c.Rows {
		drawn += strings.Count(r.Much, "M")
	}
	if drawn != much || much == 0 {
		t.Errorf("%d measures are drawn as blurred, of %d", drawn, much)
	}
}

// TestIncompletePages are refused, and nothing is written.
func TestIncompletePages(t *testing.T) {
	for name, w := range map[string]writer{"voice": &Voice{}, "study": &Study{}, "variants": &Variants{}} {
		var b bytes.Buffer
		if err := w.Write(&b); err == nil || b.Len() > 0 {
			t.Errorf("%s: %v, %d bytes", name, err, b.Len())
		}
	}
}
