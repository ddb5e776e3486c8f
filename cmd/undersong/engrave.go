package main

import (
	"bytes"
	"cmp"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"undersong/score"
	"undersong/score/musicxml"
	web "undersong/voicing/page"
)

// engravingFolder is where the library is if nothing else is said, from the project's
// folder.
const engravingFolder = "cmd/undersong/engraving"

// engraveFlags put the engraved score into the page.
func engraveFlags() []cli.Flag {
	return []cli.Flag{
		&cli.BoolFlag{Name: "engrave", Usage: "draw the carillon score into the page, with Node and an npm package: 'npm ci' in cmd/undersong/engraving brings it"},
		&cli.PathFlag{Name: "engrave-with", Value: engravingFolder, EnvVars: []string{"UNDERSONG_ENGRAVING"},
			Usage: "the `FOLDER` in which that was done, where it is not that of the working folder"},
	}
}

// script draws a score.
//
//go:embed engraving/draw.mjs
var script string

// mostDrawing is how long drawing a score may take; it is about three seconds
// for sixty measures.
const mostDrawing = 2 * time.Minute

// engrave draws the page's score into the page, or says there in one line why
// it is not, which is no error.
func engrave(c *cli.Context, doc *musicxml.Document, page *web.Voice) error {
	var text bytes.Buffer
	if err := doc.Write(&text, page.Result); err != nil {
		return err
	}
	drawn, err := draw(c.Context, cmp.Or(c.Path("engrave-with"), engravingFolder), text.Bytes(), mostDrawing)
	if err == nil {
		err = page.Engrave(drawn)
	}
	if c.Context.Err() != nil {
		return c.Context.Err()
	}
	if err != nil {
		page.EngravedNote = "The score is not engraved: " + score.OneLine(err.Error())
	}
	return nil
}

// draw draws a score with the library that is in a folder.
func draw(ctx context.Context, folder string, text []byte, most time.Duration) ([]web.System, error) {
	if _, err := os.Stat(filepath.Join(folder, "node_modules", "verovio")); err != nil {
		return nil, fmt.Errorf("there is no engraving library in %s: run 'npm ci' in undersong's own folder cmd/undersong/engraving, and name that with --engrave-with", folder)
	}
	ctx, cancel := context.WithTimeout(ctx, most)
	defer cancel()
	node := exec.CommandContext(ctx, "node", "--input-type=module", "--eval", script)
	var out, said bytes.Buffer
	node.Dir, node.Stdin, node.Stdout, node.Stderr = folder, bytes.NewReader(text), &out, &said
	node.WaitDelay = time.Second // for what node may have started and left
	err := node.Run()
	switch {
	case errors.Is(err, exec.ErrNotFound):
		return nil, errors.New("there is no Node: install it, version 18 or later, so that 'node' can be run")
	case ctx.Err() == context.DeadlineExceeded:
		return nil, fmt.Errorf("drawing took more than %v and was stopped", most)
	case err != nil:
		why, _, _ := strings.Cut(said.String(), "\n")
		return nil, fmt.Errorf("drawing failed: %s", cmp.Or(why, err.Error()))
	}
	var systems []web.System
	if err := json.Unmarshal(out.Bytes(), &systems); err != nil {
		return nil, fmt.Errorf("what was drawn cannot be read: %w", err)
	}
	return systems, nil
}
