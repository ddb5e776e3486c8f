package musicxml

import (
	"archive/zip"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"net/url"
	"path"
	"slices"
	"strings"

	"undersong/score/musicxml/internal/xmltree"
)

// Limits bound what a hostile file can cost. Zero fields take the defaults,
// negative ones are errors.
type Limits struct {
	Bytes int64 // of one score, unpacked; default 512 MiB
	Ratio int64 // unpacked to packed size of an archive above 4 MiB; default 200
	Depth int   // of nested elements; default 64
	// Nodes are the elements, attributes and texts of one score, which take
	// memory, not its bytes: some 250 bytes each, 600 at worst. Real scores have
	// one for every 17 bytes, so that the default, one for every 128 of Bytes
	// and at least a million, is enough for 70 MB.
	Nodes int
}

// check gives an error for a limit that is none.
func (l Limits) check() error {
	switch {
	case l.Bytes < 0:
		return fmt.Errorf("a limit of %d bytes: give a positive number, or 0 for the default", l.Bytes)
	case l.Ratio < 0:
		return fmt.Errorf("a limit of %d for the ratio: give a positive number, or 0 for the default", l.Ratio)
	case l.Depth < 0:
		return fmt.Errorf("a limit of %d nested elements: give a positive number, or 0 for the default", l.Depth)
	case l.Nodes < 0:
		return fmt.Errorf("a limit of %d nodes: give a positive number, or 0 for the default", l.Nodes)
	}
	return nil
}

func (l Limits) withDefaults() Limits {
	if l.Bytes == 0 {
		l.Bytes = 512 << 20
	}
	if l.Ratio == 0 {
		l.Ratio = 200
	}
	if l.Depth == 0 {
		l.Depth = 64
	}
	if l.Nodes == 0 {
		l.Nodes = int(max(1<<20, l.Bytes/128))
	}
	return l
}

// freeSize may be unpacked whatever the ratio: small scores of many equal
// measures pack very well.
const freeSize = 4 << 20

func isArchive(raw string) bool { return strings.HasPrefix(raw, "PK") }

// unpack finds the score in an .mxl archive.
func unpack(ctx context.Context, raw string, limits Limits) (string, error) {
	z, err := zip.NewReader(strings.NewReader(raw), int64(len(raw)))
	if err != nil {
		return "", fmt.Errorf("the archive is broken (%w): export or copy it again", err)
	}
	if len(z.File) > mostEntries {
		return "", fmt.Errorf("the archive has %d entries, over the limit of %d: pack the score alone", len(z.File), mostEntries)
	}
	found, err := choose(ctx, z.File, limits)
	if err != nil {
		return "", err
	}
	text, err := unpackEntry(ctx, found, limits)
	switch {
	case stopped(err):
		return "", err
	case err != nil:
		return "", fmt.Errorf("%s in the archive: %w", found.Name, err)
	}
	return text, nil
}

// choose is the container's first root file that is there and may be
// MusicXML. Without one, and without a container, it is the first entry that
// looks like a score; where a container leads nowhere there must be only one.
func choose(ctx context.Context, files []*zip.File, limits Limits) (*zip.File, error) {
	container := entry(files, "META-INF/container.xml")
	var roots []string
	if container != nil {
		var err error
		if roots, err = rootFiles(ctx, container, limits); err != nil {
			return nil, err
		}
	}
	for _, name := range roots {
		if f := entry(files, name); f != nil {
			return f, nil
		}
	}
	var found []*zip.File
	for _, f := range files {
		if scoreLike(f.Name) {
			found = append(found, f)
		}
	}
	switch {
	case len(found) == 0 && len(roots) > 0:
		return nil, fmt.Errorf("the archive holds no score: its container names %s, which is not in it: export it again", quoted(roots))
	case len(found) == 0:
		return nil, errors.New("the archive holds no score: no entry ends in .musicxml or .xml: export it again")
	case len(found) > 1 && container != nil:
		return nil, fmt.Errorf("the archive's container names no score that is in it, and %d entries may be one (%s): unpack it and choose",
			len(found), someNames(found))
	}
	return found[0], nil
}

// someNames are the names of files, of many the first.
func someNames(files []*zip.File) string {
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return quoted(names)
}

// entry is the file of that name: exactly, else as a path, else in any case,
// else with percent escapes, which a container should not have. Of several the
// last counts, as it does for who unpacks them in order.
func entry(files []*zip.File, name string) *zip.File {
	unescaped, err := url.PathUnescape(name)
	if err != nil {
		unescaped = name
	}
	for _, same := range []func(string) bool{
		func(s string) bool { return s == name },
		func(s string) bool { return cleaned(s) == cleaned(name) },
		func(s string) bool { return strings.EqualFold(cleaned(s), cleaned(name)) },
		func(s string) bool { return strings.EqualFold(cleaned(s), cleaned(unescaped)) },
	} {
		for _, f := range slices.Backward(files) {
			if !f.FileInfo().IsDir() && same(f.Name) {
				return f
			}
		}
	}
	return nil
}

// cleaned is a name as a path from the top of the archive.
func cleaned(name string) string {
	return path.Clean("/" + strings.ReplaceAll(strings.TrimSpace(name), `\`, "/"))[1:]
}

// scoreLike leaves out the folders that packing programs add.
func scoreLike(name string) bool {
	name = strings.ToLower(cleaned(name))
	base := path.Base(name)
	ext := path.Ext(base)
	return (ext == ".musicxml" || ext == ".xml") && !strings.HasPrefix(base, ".") &&
		!strings.HasPrefix(name, "meta-inf/") && !strings.HasPrefix(name, "__macosx/")
}

const (
	// mostContainer is the most bytes of a container; real ones have some 300.
	mostContainer = 1 << 20
	// Each root is looked for among all entries; real archives have a handful.
	mostRoots   = 16
	mostEntries = 10000
)

// rootFiles lists the container's root files, as far as it can be read: many
// real ones are cut off or not well-formed. The error is the context's.
func rootFiles(ctx context.Context, container *zip.File, limits Limits) ([]string, error) {
	limits.Bytes = min(limits.Bytes, mostContainer)
	raw, err := unpackEntry(ctx, container, limits)
	switch {
	case stopped(err):
		return nil, err
	case err != nil:
		return nil, nil
	}
	text, _, err := decode(raw)
	if err != nil {
		return nil, nil
	}
	var names []string
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict = false
	for len(names) < mostRoots {
		token, err := d.RawToken()
		if err != nil {
			break
		}
		if start, ok := token.(xml.StartElement); ok && start.Name.Local == "rootfile" {
			if name := rootFile(start.Attr); name != "" {
				names = append(names, name)
			}
		}
	}
	return names, nil
}

// rootFile is the path that a root file's attributes name, "" where it is said
// to be of another kind.
func rootFile(attrs []xml.Attr) string {
	name := ""
	for _, a := range attrs {
		switch {
		case a.Name.Local == "full-path":
			name = a.Value
		case a.Name.Local == "media-type" && a.Value != "" && !strings.Contains(strings.ToLower(a.Value), "xml"):
			return ""
		}
	}
	return name
}

// stopped tells whether an error is a context's.
func stopped(err error) bool {
	return errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded)
}

func unpackEntry(ctx context.Context, f *zip.File, limits Limits) (string, error) {
	most := limits.Bytes
	// Divided, not multiplied: the product may be beyond 64 bits.
	if f.CompressedSize64 <= uint64(most/limits.Ratio) {
		most = min(most, max(freeSize, int64(f.CompressedSize64)*limits.Ratio))
	}
	r, err := f.Open()
	if err != nil {
		return "", fmt.Errorf("cannot be unpacked (%w): export or copy the archive again", err)
	}
	defer r.Close()
	text, err := readUpTo(ctx, r, most)
	if errors.Is(err, ErrTooLarge) && most < limits.Bytes {
		return "", fmt.Errorf("%w: it unpacks to more than %d times its size: raise that limit if you trust the file", ErrTooLarge, limits.Ratio)
	}
	if err != nil && !errors.Is(err, ErrTooLarge) && !stopped(err) {
		return "", fmt.Errorf("cannot be unpacked (%w): export or copy the archive again", err)
	}
	return text, err
}

// ErrTooLarge is the error of what is over the limits of size or ratio.
var ErrTooLarge = xmltree.ErrTooLarge

// readUpTo reads all of r, but no more than most bytes.
func readUpTo(ctx context.Context, r io.Reader, most int64) (string, error) {
	most = min(most, math.MaxInt64-1) // one more is read, to tell
	var text strings.Builder
	text.Grow(int(min(most, sizeOf(r)) + 512))
	if _, err := io.Copy(&text, io.LimitReader(stoppable{ctx, r}, most+1)); err != nil {
		return "", err
	}
	if int64(text.Len()) > most {
		return "", fmt.Errorf("%w: more than %d bytes of score: raise that limit if you trust the file", ErrTooLarge, most)
	}
	return text.String(), nil
}

// sizeOf is how much there is to read, 0 where r does not tell.
func sizeOf(r io.Reader) int64 {
	switch r := r.(type) {
	case interface{ Len() int }:
		return int64(r.Len())
	case interface{ Stat() (fs.FileInfo, error) }:
		if info, err := r.Stat(); err == nil && info.Mode().IsRegular() {
			return info.Size()
		}
	}
	return 0
}
