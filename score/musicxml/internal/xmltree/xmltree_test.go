package xmltree

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/google/go-cmp/cmp"
)

var ample = Limits{Depth: 64, Nodes: 1 << 20}

// quickly and carefully are what the two readers make of a text, in words.
func quickly(text string, limits Limits) (tree string, done bool, err error) {
	q := quick{builder: newBuilder(context.Background(), text, limits), s: text}
	done, err = q.run()
	return q.words(), done, err
}

func carefully(text string, limits Limits) (string, error) {
	b := newBuilder(context.Background(), text, limits)
	err := b.careful()
	return b.words(), err
}

// words shows a tree with the places of its measures.
func (b *builder) words() string {
	var out strings.Builder
	var show func(t etree.Token)
	show = func(t etree.Token) {
		switch t := t.(type) {
		case *etree.Element:
			fmt.Fprintf(&out, "<%q %q", t.Space, t.Tag)
			for _, a := range t.Attr {
				fmt.Fprintf(&out, " %q %q=%q", a.Space, a.Key, a.Value)
			}
			if at, ok := b.spans[t]; ok {
				fmt.Fprint(&out, " ", at)
			}
			for i, c := range t.Child {
				if c.Parent() != t || c.Index() != i {
					fmt.Fprint(&out, " misplaced")
				}
				show(c)
			}
			out.WriteString(">")
		case *etree.CharData:
			fmt.Fprintf(&out, "%q %t %t", t.Data, t.IsWhitespace(), t.IsCData())
		case *etree.Comment:
			fmt.Fprintf(&out, "!%q", t.Data)
		case *etree.ProcInst:
			fmt.Fprintf(&out, "?%q%q", t.Target, t.Inst)
		}
	}
	for _, t := range b.found {
		show(t)
	}
	return out.String()
}

// TestBothAlike: where quick reads a text, careful reads the same.
func TestBothAlike(t *testing.T) {
	for _, c := range []struct {
		text string
		done bool // by quick
	}{
		{`<a/>`, true},
		{`<a></a>`, true},
		{"<a>\n <b x='1' y:z = \"2\"/>\r\n <measure>t</measure> </a>\n", true},
		{"<a\r\n x='&lt;&#65;&#x42;\"'>&amp;&apos;&quot;&gt;\r\r\n</a>", true},
		{`<!DOCTYPE a PUBLIC "-//>" 'x'><a><!-- c - d --><![CDATA[<&]]]]></a>`, true},
		{"<a>ä𝄞]] ></a>", true},
		{"<a b='x>]]>'/>", true},
		{`<a> <b/> text <c/></a>`, true},
		{`<a></a >`, false},
		{`<?x y?><a><?b?></a>`, false},
		{`<ä/>`, false},
		{`<a ä='1'/>`, false},
		{`<:a/>`, false},
		{`<!DOCTYPE a [<!ENTITY b "c">]><a/>`, false},
		{"<a><![CDATA[\r\n]]></a>", false},
		{"<a>&#xd800;</a>", false},
	} {
		want, err := carefully(c.text, ample)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
		}
		got, done, err := quickly(c.text, ample)
		if done != c.done || err != nil {
			t.Errorf("%s: read quickly: %t, %v", c.text, done, err)
		}
		if diff := cmp.Diff(want, got); done && diff != "" {
			t.Errorf("%s: careful and quick differ (-careful +quick):\n%s", c.text, diff)
		}
	}
}

// TestWrong: what is not well-formed is an error with its line, whoever reads
// it first.
func TestWrong(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "not XML: it has 0 root elements",
		"<a/><b/>":                "not XML: it has 2 root elements",
		"<a>\n<b>\n</a>":          "line 3: </a> closes nothing that is open",
		"</a>":                    "line 1: </a> closes nothing",
		"<a>\n<b>":                "line 2: the file ends inside <b>",
		"<a>\n&no;</a>":           "line 1: not well-formed XML: invalid character entity &no;",
		"<a>&#xffff;</a>":         "illegal character code U+FFFF",
		"<a>&#1;</a>":             "illegal character code U+0001",
		"<a>\x01</a>":             "illegal character code",
		"<a>\uffff</a>":           "illegal character code",
		"<a>\xff</a>":             "invalid UTF-8",
		"<a>]]></a>":              "unescaped ]]>",
		"<a b='<'/>":              "unescaped < inside quoted string",
		"<a b='":                  "the file ends in the middle",
		"<a b=1/>":                "unquoted or missing attribute value",
		"<a b/>":                  "attribute name without =",
		"<a b:c:d='1'/>":          "expected attribute name",
		"<1/>":                    "invalid XML name",
		"<a/ >":                   "expected /> in element",
		"<a><!-- a -- b --></a>":  "not allowed in comments",
		"<a><!--":                 "the file ends in the middle",
		"<a><![CDATA[":            "the file ends in the middle",
		"<a><![CDATA[\x02]]></a>": "illegal character code",
		"<!DOCTYPE a \"":          "the file ends in the middle",
		"<":                       "the file ends in the middle",
		"<a>&lt</a>":              "no semicolon",
	} {
		_, err := Parse(t.Context(), text, ample)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

func TestLimits(t *testing.T) {
	for _, c := range []struct {
		text   string
		limits Limits
		want   string
	}{
		{"<a><b><c/></b></a>", Limits{Depth: 2, Nodes: 99}, "line 1: elements nested deeper than 2"},
		{"<a>\n<b x='1'/>\n<c/></a>", Limits{Depth: 9, Nodes: 3}, "line 3: more than 3 elements, attributes and texts"},
		{"<b><a>" + strings.Repeat("<c/>", mostChildren+2) + "</a></b>", Limits{Depth: 9, Nodes: 1 << 20}, "more than 131072 things in one <a>: split it"},
		{"<a x='1' y='=>'\n z='3'/>", Limits{Depth: 9, Nodes: 3}, "line 1: more than 3 elements"},
		{"<a>x<!-- y -->z</a>", Limits{Depth: 9, Nodes: 3}, "line 1: more than 3 elements"},
	} {
		_, done, err := quickly(c.text, c.limits)
		if done || err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40s: quick gives %v, want %s", c.text, err, c.want)
		}
		if _, err := carefully(c.text, c.limits); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40s: careful gives %v, want %s", c.text, err, c.want)
		}
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	text := "<a>" + strings.Repeat("<b/>", 5000) + "</a>"
	if _, err := Parse(stopped, text, ample); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that of the context", err)
	}
}

// TestManyAttributes: a tag of very many attributes is refused before memory is
// taken for them.
func TestManyAttributes(t *testing.T) {
	text := "<a" + strings.Repeat(" b=''", 1<<20) + "/>"
	limits := Limits{Depth: 9, Nodes: 1000}
	readers := map[string]func() error{
		"quick":   func() error { _, _, err := quickly(text, limits); return err },
		"careful": func() error { _, err := carefully(text, limits); return err },
	}
	for name, read := range readers {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		err := read()
		runtime.ReadMemStats(&after)
		if err == nil || !strings.Contains(err.Error(), "line 1: more than 1000 elements") {
			t.Errorf("%s: error %v", name, err)
		}
		if taken := after.TotalAlloc - before.TotalAlloc; taken > 1<<20 {
			t.Errorf("%s took %d bytes", name, taken)
		}
	}
}

// FuzzQuick: what quick reads, careful reads alike; what quick refuses,
// careful refuses.
func FuzzQuick(f *testing.F) {
	files, err := filepath.Glob("../../../../testdata/roundtrip/*.musicxml")
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	more, _ := filepath.Glob("../../../../testdata/roundtrip/odd/*.musicxml")
	for _, file := range append(files, more...) {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Add("<a x='&lt;&#65;&#x42;\"'>&amp;&apos;&quot;&gt;\r\r\n<![CDATA[]]]]></a>")
	limits := Limits{Depth: 16, Nodes: 10000}
	f.Fuzz(func(t *testing.T, text string) {
		want, careful := carefully(text, limits)
		got, done, err := quickly(text, limits)
		switch {
		case err != nil && careful == nil:
			t.Errorf("quick gives the error %v, careful none", err)
		case done && careful != nil:
			t.Errorf("quick gives no error, careful %v", careful)
		case done && got != want:
			t.Errorf("careful and quick differ (-careful +quick):\n%s", cmp.Diff(want, got))
		}
	})
}
