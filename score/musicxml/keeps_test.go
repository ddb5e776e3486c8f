package musicxml

import (
	"bytes"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/beevik/etree"
)

// notKept are the elements ("parent/child") and attributes ("element@name")
// that a measure may lose when it is engraved anew, with the reason; in one
// file where it is named.
var notKept = []struct{ what, file, why string }{
	{"measure/backup forward/ backup/ measure/forward", "", "voices are complete"},
	{"attributes/divisions measure/attributes", "", "divisions are chosen anew"},
	{"direction/offset harmony/offset sound/offset offset@sound", "", "everything stands at its own moment"},
	{"listening/offset", "", "everything stands at its own moment"},
	{"@default-x @default-y @relative-x @relative-y @bezier-x @bezier-y @id @placement @orientation measure@width", "", "the page is laid out anew"},
	{"beam@number note/beam", "", "beams go by the meter"},
	{"stem@color", "", "stems are new"},
	{"notations@print-object", "", "signs in one group"},
	{"note/notations", "", "signs in one group"},
	{"measure/part part/ score-timewise/measure", "timewise", "written by parts"},
	{"measure@implicit", "single-quotes", "said of a measure that is not"},
	{"direction/sound", "empty-elements", "it says nothing"},
	{"note/type", "empty-elements rests voices-between-staves", "rests of a whole measure need no type"},
	{"measure/note note/ note@print-object", "hidden-objects", "a voice of nothing but hidden rests"},
	{"note/stem", "tuplets-chords-two-voices voices-four chords-two-voices-unequal stems", "one stem a chord, none on whole notes"},
}

func mayLose(what, file string) bool {
	for _, n := range notKept {
		if n.file != "" && !strings.Contains(n.file, strings.SplitN(file, "-pickup", 2)[0]) {
			continue
		}
		for word := range strings.FieldsSeq(n.what) {
			parent, child, _ := strings.Cut(word, "/")
			if word == what || child == "" && strings.HasPrefix(what, parent+"/") || word[0] == '@' && strings.HasSuffix(what, word) {
				return true
			}
		}
	}
	return false
}

// contents counts the elements and attributes in the measures of a document.
func contents(d *Document) map[string]int {
	counts := map[string]int{}
	var count func(e *etree.Element, inMeasure bool)
	count = func(e *etree.Element, inMeasure bool) {
		if inMeasure = inMeasure || e.Tag == "measure"; inMeasure {
			counts[e.Parent().Tag+"/"+e.Tag]++
			for _, a := range e.Attr {
				counts[e.Tag+"@"+a.FullKey()]++
			}
		}
		for _, c := range e.ChildElements() {
			count(c, inMeasure)
		}
	}
	count(d.tree.Root, false)
	return counts
}

// TestKeeps: a score that is engraved anew has every element and attribute of
// the source as often as that, but for those of notKept.
func TestKeeps(t *testing.T) {
	for _, path := range glob(t, "*.musicxml") {
		name := strings.TrimSuffix(filepath.Base(path), ".musicxml")
		t.Run(name, func(t *testing.T) {
			doc := readFile(t, path)
			var out bytes.Buffer
			if err := doc.Write(&out, anew(doc.Score())); err != nil {
				t.Fatal(err)
			}
			again, err := Read(&out, path, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			now := contents(again)
			var lost []string
			for what, n := range contents(doc) {
				if now[what] < n && !mayLose(what, name) {
					lost = append(lost, what)
				}
			}
			if slices.Sort(lost); len(lost) > 0 {
				t.Errorf("lost: %v", lost)
			}
		})
	}
}
