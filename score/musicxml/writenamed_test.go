package musicxml

import (
	"bytes"
	"fmt"
	"path/filepath"
	"regexp"
	"testing"

	"undersong/score"
)

// TestWriteNamed: every note that is given a name carries it once, however many
// tied notes it is written as, and names are all that is added. An id is
// xs:ID, once in a document (W3C MusicXML 4.0, attribute group optional-unique-id).
func TestWriteNamed(t *testing.T) {
	isID := regexp.MustCompile(` id="(n-\d+)"`)
	for _, path := range glob(t, "../../testdata/roundtrip/*.musicxml") {
		t.Run(filepath.Base(path), func(t *testing.T) {
			doc := readFile(t, path)
			s := anew(doc.Score())
			var plain, named bytes.Buffer
			if err := doc.Write(&plain, s); err != nil {
				t.Fatal(err)
			}
			ids := map[*score.Note]string{}
			for _, p := range s.Parts {
				for _, m := range p.Measures {
					for i := range m.Notes {
						if m.Notes[i].Kind != score.Rest {
							ids[&m.Notes[i]] = fmt.Sprintf("n-%d", len(ids))
						}
					}
				}
			}
			if err := doc.WriteNamed(&named, s, func(n *score.Note) string { return ids[n] }); err != nil {
				t.Fatal(err)
			}
			seen := map[string]bool{}
			for _, id := range isID.FindAllSubmatch(named.Bytes(), -1) {
				if seen[string(id[1])] {
					t.Errorf("%s twice", id[1])
				}
				seen[string(id[1])] = true
			}
			if len(seen) != len(ids) {
				t.Errorf("%d notes are named, want %d", len(seen), len(ids))
			}
			if !bytes.Equal(isID.ReplaceAll(named.Bytes(), nil), plain.Bytes()) {
				t.Error("more than names was added")
			}
		})
	}
}
