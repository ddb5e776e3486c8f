package musicxml

import (
	"strings"
	"testing"

	"undersong/score"
)

// TestPartGroups: groups stay around the parts that are left of them.
func TestPartGroups(t *testing.T) {
	// In the file: 1 around all, 2 around P1 and P2, 3 around P2 and P3, 4
	// around P4.
	doc := readFile(t, glob(t, "part-groups.musicxml")[0])
	made := &score.Part{ID: "X", Name: "Bells", Staves: 1}
	for _, c := range []struct{ name, parts, want string }{
		{"all", "1 2 3 4", "[1 [2 P1 [3 P2 ]2 P3 ]3 [4 P4 ]4 ]1"},
		{"the first gone", "2 3 4", "[1 [3 P2 P3 ]3 [4 P4 ]4 ]1"},
		{"the middle gone", "1 4", "[1 P1 [4 P4 ]4 ]1"},
		{"turned round", "4 3 2 1", "[1 [4 P4 ]4 [3 P3 [2 P2 ]3 P1 ]2 ]1"},
		{"another between", "1 X 2 3 4", "P1 X [3 P2 P3 ]3 [4 P4 ]4"},
		{"only another", "X", "X"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := *doc.Score()
			s.Parts = nil
			for name := range strings.FieldsSeq(c.parts) {
				p := made
				if name != "X" {
					p = doc.Score().Parts[name[0]-'1']
				}
				s.Parts = append(s.Parts, p)
			}
			var got []string
			for _, e := range doc.partList(&s).ChildElements() {
				switch {
				case e.Tag == "score-part":
					got = append(got, attr(e, "id"))
				case attr(e, "type") == "start":
					got = append(got, "["+attr(e, "number"))
				default:
					got = append(got, "]"+attr(e, "number"))
				}
			}
			if list := strings.Join(got, " "); list != c.want {
				t.Errorf("part list %s, want %s", list, c.want)
			}
		})
	}
}
