package instrument

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"
)

// Read reads a tower from YAML. The fields are those of the profile "47"; what
// the file does not say is as there, or as in the profile that its field
// "from" names. The file's name is for messages, and for a tower without a
// name.
//
// When the content is wrong, the error is of type [Problems] and has all that
// is.
func Read(r io.Reader, file string) (*Tower, error) {
	source, err := io.ReadAll(io.LimitReader(r, sizeLimit+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", file, err)
	case len(source) > sizeLimit:
		return nil, Problems{{File: file, Want: "is too long for the description of a tower"}}
	case !utf8.Valid(source):
		return nil, Problems{{File: file, Want: "is not text in UTF-8: save it in that encoding"}}
	}
	source = bytes.TrimPrefix(source, []byte("\ufeff")) // some editors begin a file with this mark
	base, err := Named(Default)
	if err != nil {
		return nil, err
	}
	return parse(source, file, *base)
}

// sizeLimit is ten times the length of the longest profile.
const sizeLimit = 1 << 16

// parse reads a tower that is like another one in what the source does not
// say.
func parse(source []byte, file string, base Tower) (*Tower, error) {
	d := draft{file: file, fields: fields(), lines: map[string]line{}, tower: base}
	d.tower.Name = strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	d.scan(source)
	d.fill()
	d.settle()
	if len(d.problems) > 0 {
		slices.SortStableFunc(d.problems, func(a, b Problem) int { return a.Line - b.Line })
		return nil, d.problems
	}
	return &d.tower, nil
}

// draft is a tower while it is read.
type draft struct {
	file     string
	fields   []field
	lines    map[string]line // by field
	tower    Tower
	keys     Compass // of the manual, with those that have no bell
	missing  Compass
	pedals   Compass // with keys that the manual lacks
	problems Problems
	bad      []string // fields with a problem
}

// line is what a file says in one field.
type line struct {
	number int
	value  string
}

func (d *draft) has(field string) bool {
	_, ok := d.lines[field]
	return ok
}

// fine tells whether no problem was found in some fields.
func (d *draft) fine(fields ...string) bool {
	return !slices.ContainsFunc(fields, func(f string) bool { return slices.Contains(d.bad, f) })
}

// wrong notes a problem with a field.
func (d *draft) wrong(field, want string, args ...any) {
	l := d.lines[field]
	d.bad = append(d.bad, field)
	d.problems = append(d.problems, Problem{
		File: d.file, Line: l.number, Field: field, Value: l.value, Want: fmt.Sprintf(want, args...),
	})
}

// fill sets what the file says, as far as it can be understood.
func (d *draft) fill() {
	for _, f := range d.fields {
		if !d.has(f.name) || !d.fine(f.name) {
			continue
		}
		if err := f.set(d, d.lines[f.name].value); err != nil {
			d.wrong(f.name, "%s", err)
		}
	}
}
