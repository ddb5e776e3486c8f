package musicxml

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"regexp"
	"strings"
)

// Limits bound what a hostile file can cost. Zero fields take the defaults.
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

// unpack finds the score in an .mxl archive: the container's first root file
// that is there and may be MusicXML, else the first entry that looks like one.
func unpack(ctx context.Context, raw string, limits Limits) (string, error) {
	z, err := zip.NewReader(strings.NewReader(raw), int64(len(raw)))
	if err != nil {
		return "", fmt.Errorf("the archive is broken (%w): export or copy it again", err)
	}
	found := candidates(ctx, z, limits)
	if len(found) == 0 {
		return "", errors.New("the archive holds no score: no entry ends in .musicxml or .xml")
	}
	text, err := unpackEntry(ctx, found[0], limits)
	if err != nil {
		return "", fmt.Errorf("%s in the archive: %w", found[0].Name, err)
	}
	return text, nil
}

func candidates(ctx context.Context, z *zip.Reader, limits Limits) []*zip.File {
	var found []*zip.File
	byName := map[string]*zip.File{}
	for _, f := range z.File {
		byName[path.Clean(f.Name)] = f
	}
	if c := byName["META-INF/container.xml"]; c != nil {
		for _, name := range rootFiles(ctx, c, limits) {
			if f := byName[path.Clean(name)]; f != nil {
				found = append(found, f)
			}
		}
	}
	for _, f := range z.File {
		if scoreLike(f.Name) {
			found = append(found, f)
		}
	}
	return found
}

// scoreLike leaves out the folders that packing programs add.
func scoreLike(name string) bool {
	base := path.Base(name)
	ext := strings.ToLower(path.Ext(base))
	return (ext == ".musicxml" || ext == ".xml") && !strings.HasPrefix(base, ".") &&
		!strings.HasPrefix(name, "META-INF/") && !strings.HasPrefix(name, "__MACOSX/")
}

var (
	rootFileTag = regexp.MustCompile(`<(?:\w+:)?rootfile\b[^>]*`)
	fullPath    = regexp.MustCompile(`full-path\s*=\s*(?:"([^"]*)"|'([^']*)')`)
	mediaType   = regexp.MustCompile(`media-type\s*=\s*["']([^"']*)`)
	xmlUnescape = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&quot;", `"`, "&apos;", "'", "&amp;", "&")
)

// rootFiles lists the container's root files. The container is searched, not
// parsed: in many real archives it is not well-formed.
func rootFiles(ctx context.Context, container *zip.File, limits Limits) []string {
	raw, err := unpackEntry(ctx, container, limits)
	if err != nil {
		return nil
	}
	text, err := decode(raw)
	if err != nil {
		return nil
	}
	var names []string
	for _, tag := range rootFileTag.FindAllString(text, -1) {
		media := mediaType.FindStringSubmatch(tag)
		if media != nil && !strings.Contains(media[1], "xml") {
			continue
		}
		if m := fullPath.FindStringSubmatch(tag); m != nil {
			names = append(names, xmlUnescape.Replace(m[1]+m[2]))
		}
	}
	return names
}

func unpackEntry(ctx context.Context, f *zip.File, limits Limits) (string, error) {
	most := min(limits.Bytes, max(freeSize, int64(f.CompressedSize64)*limits.Ratio))
	r, err := f.Open()
	if err != nil {
		return "", fmt.Errorf("cannot be unpacked (%w): export or copy the archive again", err)
	}
	defer r.Close()
	text, err := readUpTo(ctx, r, most)
	if err != nil && !errors.Is(err, errTooLarge) {
		return "", fmt.Errorf("cannot be unpacked (%w): export or copy the archive again", err)
	}
	return text, err
}

var errTooLarge = errors.New("too large")

// readUpTo reads all of r, but no more than most bytes.
func readUpTo(ctx context.Context, r io.Reader, most int64) (string, error) {
	var text strings.Builder
	text.Grow(int(min(most, sizeOf(r)) + 512))
	if _, err := io.Copy(&text, io.LimitReader(stoppable{ctx, r}, most+1)); err != nil {
		return "", err
	}
	if int64(text.Len()) > most {
		return "", fmt.Errorf("%w: more than %d bytes of score; raise the limit if you trust the file", errTooLarge, most)
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
