package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// mayImport is the import table of DEVELOPERS.md: for a folder and all below
// it, the packages beyond the standard library that its files may import. A
// name that ends in /... allows what is below it too. Tests may import
// testOnly besides.
var mayImport = map[string][]string{
	"score":            {},
	"score/notation":   {"undersong/score"},
	"score/musicxml":   {"undersong/score/...", "github.com/beevik/etree", "golang.org/x/text/..."},
	"score/scoretest":  {"undersong/score", "undersong/score/musicxml", "undersong/score/shorthand"},
	"score/midifile":   {"undersong/score", "gitlab.com/gomidi/midi/v2/..."},
	"score/shorthand":  {"undersong/score"},
	"instrument":       {"undersong/score", "undersong/instrument/...", "github.com/goccy/go-yaml/..."},
	"instrument/sound": {"undersong/score", "undersong/instrument", "undersong/instrument/acoustic"},
	"voicing":          {"undersong/score", "undersong/instrument/...", "undersong/voicing/..."},
	"cmd/undersong": {
		"undersong/...", "github.com/urfave/cli/v2", "golang.org/x/term", "github.com/gofrs/flock", "github.com/vbauerster/mpb/v8/...",
	},
	"examples": {"undersong/..."},
}

var exceptions = map[string][]string{
	// Plans are YAML files.
	"voicing/plan": {"undersong/score", "undersong/instrument/...", "undersong/voicing/...", "github.com/goccy/go-yaml/..."},
	// The program that fits the melody weights reads scores.
	"voicing/melody/fit": {"undersong/..."},
}

var testOnly = []string{
	"undersong/score/musicxml", "undersong/score/scoretest", "undersong/score/shorthand", "github.com/google/go-cmp/...", "pgregory.net/rapid",
	// They read and measure recordings, and read MIDI files.
	"github.com/go-audio/wav", "gonum.org/v1/gonum/dsp/fourier", "gitlab.com/gomidi/midi/v2/smf",
	// They read pages.
	"golang.org/x/net/html",
}

func TestImports(t *testing.T) {
	root := filepath.Join("..", "..")
	files := 0
	err := filepath.WalkDir(root, func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(file) != ".go" {
			return err
		}
		files++
		rel, err := filepath.Rel(root, file)
		if err != nil {
			return err
		}
		checkImports(t, file, filepath.ToSlash(rel))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 20 {
		t.Errorf("only %d Go files found", files)
	}
}

func checkImports(t *testing.T, file, rel string) {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	allowed := allowedIn(path.Dir(rel))
	if allowed == nil {
		t.Errorf("%s is in a folder that the import table does not know", rel)
	}
	if strings.HasSuffix(rel, "_test.go") {
		allowed = append(slices.Clone(allowed), testOnly...)
		allowed = append(allowed, "undersong/"+path.Dir(rel))
	}
	for _, i := range f.Imports {
		name, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		outside := strings.Contains(strings.Split(name, "/")[0], ".") || strings.HasPrefix(name, "undersong")
		if outside && !slices.ContainsFunc(allowed, func(a string) bool { return covers(a, name) }) {
			t.Errorf("%s may not import %s", rel, name)
		}
	}
}

// allowedIn is the table's entry for the nearest folder up from dir.
func allowedIn(dir string) []string {
	for ; dir != "."; dir = path.Dir(dir) {
		if allowed, ok := exceptions[dir]; ok {
			return allowed
		}
		if allowed, ok := mayImport[dir]; ok {
			return allowed
		}
	}
	return nil
}

func covers(allowed, name string) bool {
	if below, ok := strings.CutSuffix(allowed, "/..."); ok {
		return name == below || strings.HasPrefix(name, below+"/")
	}
	return name == allowed
}
