package musicxml

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"strings"
)

// Limits bound what a hostile file can cost. Zero fields take the defaults.
type Limits struct {
	Bytes int64 // of one score, unpacked; default 512 MiB
	Ratio int64 // unpacked to packed size of an archive above 4 MiB; default 200
	Depth int   // of nested elements; default 64
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
	return l
}

// freeSize may be unpacked whatever the ratio: small scores of many equal
// measures pack very well.
const freeSize = 4 << 20

func isArchive(raw []byte) bool { return bytes.HasPrefix(raw, []byte("PK")) }

// unpack finds the score in an .mxl archive: the container's first root file
// that is there and may be MusicXML, else the first entry that looks like one.
func unpack(raw []byte, limits Limits) ([]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return nil, fmt.Errorf("the archive is broken (%w): export or copy it again", err)
	}
	found := candidates(z, limits)
	if len(found) == 0 {
		return nil, errors.New("the archive holds no score: no entry ends in .musicxml or .xml")
	}
	text, err := unpackEntry(found[0], limits)
	if err != nil {
		return nil, fmt.Errorf("%s in the archive: %w", found[0].Name, err)
	}
	return text, nil
}

func candidates(z *zip.Reader, limits Limits) []*zip.File {
	var found []*zip.File
	byName := map[string]*zip.File{}
	for _, f := range z.File {
		byName[path.Clean(f.Name)] = f
	}
	if c := byName["META-INF/container.xml"]; c != nil {
		for _, name := range rootFiles(c, limits) {
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
func rootFiles(container *zip.File, limits Limits) []string {
	raw, err := unpackEntry(container, limits)
	if err != nil {
		return nil
	}
	text, err := decode(raw)
	if err != nil {
		return nil
	}
	var names []string
	for _, tag := range rootFileTag.FindAllString(string(text), -1) {
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

func unpackEntry(f *zip.File, limits Limits) ([]byte, error) {
	most := min(limits.Bytes, max(freeSize, int64(f.CompressedSize64)*limits.Ratio))
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("cannot be unpacked (%w): export or copy the archive again", err)
	}
	defer r.Close()
	text, err := readUpTo(r, most)
	if err != nil && !errors.Is(err, errTooLarge) {
		return nil, fmt.Errorf("cannot be unpacked (%w): export or copy the archive again", err)
	}
	return text, err
}

var errTooLarge = errors.New("too large")

// readUpTo reads all of r, but no more than most bytes.
func readUpTo(r io.Reader, most int64) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return nil, err
	}
	if int64(len(text)) > most {
		return nil, fmt.Errorf("%w: more than %d bytes of score; raise the limit if you trust the file", errTooLarge, most)
	}
	return text, nil
}
