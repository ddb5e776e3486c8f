package musicxml

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
)

var declaration = regexp.MustCompile(`^\s*<\?xml[^>]*\?>`)
var declaredEncoding = regexp.MustCompile(`encoding\s*=\s*["']([^"']+)["']`)

// decode turns the bytes of a file into UTF-8 without byte order mark and
// without XML declaration. Where the declared encoding and the bytes
// contradict each other, the bytes are believed: real files are often
// converted without their first line.
func decode(raw string) (string, error) {
	enc, err := detect(raw)
	if err != nil {
		return "", err
	}
	text := raw
	if enc != encoding.Nop {
		text, err = enc.NewDecoder().String(raw)
	}
	if err != nil {
		return "", fmt.Errorf("the text is damaged: %w", err)
	}
	text = strings.TrimPrefix(text, "\ufeff")
	return text[len(declaration.FindString(text)):], nil
}

func detect(raw string) (encoding.Encoding, error) {
	little := unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	big := unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	for _, k := range []struct {
		start string
		enc   encoding.Encoding
	}{
		{"\xef\xbb\xbf", encoding.Nop}, {"\xff\xfe", little}, {"\xfe\xff", big}, {"<\x00", little}, {"\x00<", big},
	} {
		if strings.HasPrefix(raw, k.start) {
			return k.enc, nil
		}
	}
	name := ""
	if m := declaredEncoding.FindStringSubmatch(declaration.FindString(raw)); m != nil {
		name = strings.ToLower(m[1])
	}
	return eightBit(raw, name)
}

// eightBit chooses among encodings in which ASCII is itself.
func eightBit(raw, declared string) (encoding.Encoding, error) {
	switch {
	case utf8.ValidString(raw):
		// Text of another encoding that happens to be valid UTF-8 is either
		// ASCII or, far more likely, UTF-8.
		return encoding.Nop, nil
	case declared == "" || strings.HasPrefix(declared, "utf") || strings.HasPrefix(declared, "ucs"):
		return charmap.Windows1252, nil
	}
	enc, err := htmlindex.Get(declared)
	if err != nil {
		return nil, fmt.Errorf("encoding %q is not known: save the score as UTF-8", declared)
	}
	return enc, nil
}
