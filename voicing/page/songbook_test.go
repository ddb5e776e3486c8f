package page

import (
	"slices"
	"strings"
	"testing"

	"undersong/voicing/songbook"
)

// TestSongbook: rows stand in the order of the summary, links lead to files of
// its folder whatever they are called, and names are text.
func TestSongbook(t *testing.T) {
	const evil = `javascript:alert(1)<img src=x>?#.musicxml`
	good := songbook.Row{Tower: "47", Sure: 100, Out: evil}
	good.Name = evil
	bad := songbook.Row{Tower: "23"}
	bad.Name, bad.Error = "torn.xml", "<img>: it is cut off"
	worse := bad
	worse.Tower = "61"
	text := written(t, &Songbook{Summary: songbook.New([]songbook.Row{good, bad, worse}, []string{"--voicing=auto"})})
	var links []string
	for _, e := range elements(t, text) {
		if e.Data == "img" {
			t.Error("a name became an image")
		}
		if href := attribute(e, "href"); e.Data == "a" && !strings.HasPrefix(href, "#") {
			links = append(links, href)
		}
	}
	if want := []string{"./javascript:alert%281%29%3Cimg%20src=x%3E%3F%23.musicxml"}; !slices.Equal(links, want) {
		t.Errorf("links are %q, want %q", links, want)
	}
	if failed, voiced := strings.Index(text, "torn.xml"), strings.LastIndex(text, "javascript"); failed < 0 || failed > voiced {
		t.Error("what failed does not stand first")
	}
	for _, want := range []string{"2 scores for tower 23, 47, 61", "<td>23, 61</td>", "2 scores: 1 failed, 0 to look at, 1 with nothing to look for", "--voicing=auto", "it is cut off"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
}
