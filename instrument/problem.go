package instrument

import (
	"fmt"
	"strings"

	"undersong/score"
)

// Problem is one thing wrong with a player's file.
type Problem struct {
	File  string
	Line  int    // counted from 1; 0 for the file as a whole
	Field string // "" where the line has none
	Value string // as written
	Want  string // what it has to be
}

// Error is "file:line: field: value: want", one line whatever the file holds.
func (p Problem) Error() string {
	text := p.File
	if p.Line > 0 {
		text += fmt.Sprint(":", p.Line)
	}
	if p.Field != "" {
		text += ": " + p.Field + fmt.Sprintf(": %q", p.Value)
	}
	return score.OneLine(text + ": " + p.Want)
}

// Problems is everything wrong with a player's file, at least one, in the
// order of its lines.
type Problems []Problem

// Error is one problem a line.
func (ps Problems) Error() string {
	var lines []string
	for _, p := range ps {
		lines = append(lines, p.Error())
	}
	return strings.Join(lines, "\n")
}
