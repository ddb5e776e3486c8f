package musicxml

import (
	"bytes"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"undersong/score"
)

// TestWriteMelody: every note that is marked, as melody or of a line that leads while it rests, carries an id of its own,
// however many tied notes it is written as, is known by it when the file is read
// again, and ids are all that is added. An id is xs:ID, once in a document (W3C
// MusicXML 4.0, attribute group optional-unique-id).
func TestWriteMelody(t *testing.T) {
	isID := regexp.MustCompile(` id="((?:melody|interlude)-\d+)"`)
	for _, path := range glob(t, "../../testdata/roundtrip/*.musicxml") {
		t.Run(filepath.Base(path), func(t *testing.T) {
			doc := readFile(t, path)
			plain, marked := write(t, doc, anew(doc.Score())), write(t, doc, marked(doc.Score()))
			for range 2 { // what is read again is written again
				seen := map[string]bool{}
				for _, id := range isID.FindAllSubmatch(marked, -1) {
					if seen[string(id[1])] {
						t.Errorf("%s twice", id[1])
					}
					seen[string(id[1])] = true
				}
				if !bytes.Equal(isID.ReplaceAll(marked, nil), plain) {
					t.Error("more than ids was added")
				}
				again, err := Read(bytes.NewReader(marked), "again", Limits{})
				if err != nil {
					t.Fatal(err)
				}
				for _, tone := range again.Score().Tones() {
					if n := tone.First(); n.Melody == n.Interlude || n.Melody != melodyOf(n) {
						t.Errorf("%s at %s is not marked as it was", tone.Pitch, tone.Onset)
					}
				}
				marked = write(t, again, anew(again.Score()))
				plain = write(t, again, unmarked(again.Score()))
			}
		})
	}
}

func write(t *testing.T, doc *Document, s *score.Score) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := doc.Write(&b, s); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// marked is a score to be written anew with all notes marked as melody or interlude.
func marked(s *score.Score) *score.Score { return remarked(s, true) }

// melodyOf tells which of the two marks a note is to have here.
func melodyOf(n *score.Note) bool { return n.Pitch.Class()%2 == 0 }

func unmarked(s *score.Score) *score.Score { return remarked(s, false) }

func remarked(s *score.Score, marked bool) *score.Score {
	s = anew(s)
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			m.Notes = slices.Clone(m.Notes)
			for i := range m.Notes {
				n := &m.Notes[i]
				n.Melody, n.Interlude = false, false
				if marked && n.Kind != score.Rest {
					n.Melody = melodyOf(n)
					n.Interlude = !n.Melody
				}
			}
		}
	}
	return s
}
