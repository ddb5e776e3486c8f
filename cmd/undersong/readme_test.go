package main

import (
	goflag "flag"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = goflag.Bool("update", false, "write what README.md shows anew")

// TestReadme: what README.md shows is what the commands print.
func TestReadme(t *testing.T) {
	const readme = "README.md"
	root, err := os.OpenRoot("../..")
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	raw, err := root.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	inFolder(t)
	write(t, "bells.musicxml", lowThird)
	if err := os.Mkdir("songs", 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"lamp-for-the-late-boat", "evening-on-the-sound", "nets-in-the-loft"} {
		song, err := root.ReadFile("examples/" + name + "/" + name + ".musicxml")
		if err != nil {
			t.Fatal(err)
		}
		write(t, "songs/"+name+".musicxml", string(song))
		write(t, "songs/cut-off.musicxml", string(song[:len(song)/2]))
	}
	for _, c := range []struct {
		args string
		code int
	}{
		{"study song.musicxml", 0},
		{"fit song.musicxml --towers 23,47", 0},
		{"check bells.musicxml --tower 23", 0},
		{"songbook songs -o out --voicing auto --tower 35", 1},
	} {
		args := c.args
		code, out, errors := undersong(t, "", strings.Fields(args)...)
		if code != c.code {
			t.Fatalf("%s: exit %d: %s", args, code, errors)
		}
		lines := indented(out)
		shown := shownIn(text, lines[0])
		if shown == nil {
			t.Fatalf("%s: %s shows nothing that begins like %q", args, readme, lines[0])
		}
		if *update {
			text = strings.Replace(text, strings.Join(shown, "\n"), strings.Join(lines, "\n"), 1)
		} else if diff := cmp.Diff(shown, lines); diff != "" {
			t.Errorf("%s prints otherwise than %s shows (-shown +printed); look at it, then go test ./cmd/undersong -run Readme -update:\n%s", args, readme, diff)
		}
	}
	if *update {
		if err := root.WriteFile(readme, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// seconds are what differs from run to run.
var seconds = regexp.MustCompile(` \d\.\d\d `)

// indented are the lines of an output as a block of Markdown.
func indented(out string) []string {
	lines := strings.Split(strings.TrimSuffix(out, "\n"), "\n")
	for i, line := range lines {
		lines[i] = "    " + seconds.ReplaceAllString(line, " 0.02 ")
	}
	return lines
}

// shownIn is the block of a text that begins with a line, up to a comma in it.
func shownIn(text, first string) []string {
	begin, _, _ := strings.Cut(first, ",")
	lines := strings.Split(text, "\n")
	from := slices.IndexFunc(lines, func(line string) bool { return strings.HasPrefix(line, begin) })
	if from < 0 {
		return nil
	}
	to := from
	for to < len(lines) && strings.HasPrefix(lines[to], "    ") {
		to++
	}
	return lines[from:to]
}
