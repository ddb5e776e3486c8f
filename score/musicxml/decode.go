package musicxml

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
)

var declaration = regexp.MustCompile(`^\s*<\?xml\s[^>]*\?>`)
var declaredEncoding = regexp.MustCompile(`encoding\s*=\s*["']([^"']+)["']`)

var (
	littleEndian = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	bigEndian    = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)

	highByte = map[encoding.Encoding]int{littleEndian: 1, bigEndian: 0}
)

// decode turns the bytes of a file into UTF-8 without byte order mark and
// without XML declaration. Where the declared encoding and the bytes
// contradict each other, the bytes are believed: real files are often
// converted without their first line. The notice tells where neither can be, "" where
// one is.
func decode(raw string) (text, notice string, err error) {
	enc, notice, err := detect(raw)
	if err != nil {
		return "", "", err
	}
	if high, wide := highByte[enc]; wide {
		raw = raw[:len(raw)&^1] // a line feed of one byte at the end is no damage
		if err := damage16(raw, high); err != nil {
			return "", "", err
		}
	}
	text = raw
	if enc != encoding.Nop {
		text, err = enc.NewDecoder().String(raw)
	}
	if err != nil {
		return "", "", fmt.Errorf("the text is damaged (%w): export or copy it again", err)
	}
	text = strings.TrimPrefix(text, "\ufeff")
	return text[len(declaration.FindString(text)):], notice, nil
}

// damage16 is what is wrong with UTF-16 of which every first or second byte is
// the high one, nil if nothing: the decoder would put another character in the
// place of half a one.
func damage16(raw string, high int) error {
	inside := false // the unit before is the first half of a character
	for i := 0; i+1 < len(raw); i += 2 {
		b := raw[i+high]
		if second := 0xdc <= b && b <= 0xdf; second != inside {
			return fmt.Errorf("the text is damaged: half a character of UTF-16 at byte %d: export or copy it again", i)
		}
		inside = 0xd8 <= b && b <= 0xdb
	}
	if inside {
		return errors.New("the text is damaged: it ends in half a character of UTF-16: export or copy it again")
	}
	return nil
}

func detect(raw string) (enc encoding.Encoding, notice string, err error) {
	for _, k := range []struct {
		start string
		enc   encoding.Encoding
	}{
		{"\xef\xbb\xbf", encoding.Nop}, {"\xff\xfe", littleEndian}, {"\xfe\xff", bigEndian}, {"<\x00", littleEndian}, {"\x00<", bigEndian},
	} {
		if strings.HasPrefix(raw, k.start) {
			return k.enc, "", nil
		}
	}
	name := ""
	if m := declaredEncoding.FindStringSubmatch(declaration.FindString(raw)); m != nil {
		name = strings.ToLower(m[1])
	}
	return eightBit(raw, name)
}

// eightBit chooses among encodings in which ASCII is itself.
func eightBit(raw, declared string) (enc encoding.Encoding, notice string, err error) {
	switch {
	case utf8.ValidString(raw):
		// Text of another encoding that happens to be valid UTF-8 is either
		// ASCII or, far more likely, UTF-8.
		return encoding.Nop, "", nil
	case declared == "" || strings.HasPrefix(declared, "utf") || strings.HasPrefix(declared, "ucs"):
		return charmap.Windows1252, fmt.Sprintf(
			"line %d is not in UTF-8, as the file should be, so all of it is read as Windows-1252: look at titles and words, and export the score again if they are wrong",
			1+strings.Count(validStart(raw), "\n")), nil
	}
	if enc, err = htmlindex.Get(declared); err != nil {
		return nil, "", fmt.Errorf("encoding %q is not known: save the score as UTF-8", declared)
	}
	return enc, "", nil
}

// validStart is what text begins with that is UTF-8.
func validStart(text string) string {
	for i, c := range text {
		if c == utf8.RuneError && !strings.HasPrefix(text[i:], "\ufffd") {
			return text[:i]
		}
	}
	return text
}
